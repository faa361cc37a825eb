"""Pages of the channels: where and how pieces are sold."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from costing.sell.pricing.channels import services as channels
from costing.sell.pricing.channels.forms import ChannelForm
from costing.sell.pricing.channels.models import Channel
from costing.sell.pricing.forms import fee_words
from inventory.web.trail import page
from inventory.web.views import About, EntryView


@require_safe
def channel_list(request: HttpRequest) -> HttpResponse:
    template = "costing/sell/pricing/channels/channels.html"
    channels = list(Channel.objects.all())
    for row in channels:
        row.fee = fee_words(row)  # type: ignore[attr-defined]  # for the page alone
    return page(request, template, "Where you sell", ("setup",), channels=channels)


class ChannelNew(EntryView):
    form_class = ChannelForm
    title = "A channel"
    trail = ("setup", "channels")
    cancel_page = "channels"
    success_message = "{self.made} is saved."

    def enter(self, form: forms.Form) -> Channel:
        return channels.save(**self.sent(form))


class ChannelEdit(About[Channel], ChannelNew):
    model = Channel
    title = "Change a channel"
    prefilled = ("name", "fee_percent", "fee_fixed", "fixed_cost", "usual", "resells", "relief", "place")

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "resells": "yes" if self.thing.resells else ""}

    def enter(self, form: forms.Form) -> Channel:
        return channels.save(channel=self.thing, **self.sent(form))
