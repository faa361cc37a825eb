"""Pages of the rates and of the channels."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.sell.pricing.channels import services as channels
from costing.sell.pricing.channels.forms import ChannelForm
from costing.sell.pricing.channels.models import Channel
from inventory.web.views import EntryView


@require_safe
def channel_list(request: HttpRequest) -> HttpResponse:
    context = {
        "title": "Where you sell",
        "room": "Setup",
        "trail": [("Setup", reverse("setup"))],
        "channels": Channel.objects.all(),
    }
    return render(request, "costing/sell/pricing/channels/channels.html", context)


class ChannelNew(EntryView):
    form_class = ChannelForm
    title = "A way to sell"
    room = "Setup"
    cancel_name = "channels"
    channel: Channel | None = None

    def enter(self, form: forms.Form) -> Channel:
        found = form.cleaned_data
        return channels.save(
            name=found["name"],
            fee_percent=found["fee_percent"],
            fixed_cost=found["fixed_cost"],
            usual=found["usual"],
            place=found["place"],
            channel=self.channel,
            by=self.request.user,
            request_key=found["request_key"],
        )

    def said(self) -> str:
        return f"{self.made} is kept."


class ChannelEdit(ChannelNew):
    title = "Change a way to sell"

    @cached_property
    def channel(self) -> Channel:  # type: ignore[override]  # here there is one
        return get_object_or_404(Channel, pk=self.kwargs["pk"])

    def get_initial(self) -> dict[str, Any]:
        row = self.channel
        given = {"name": row.name, "fee_percent": row.fee_percent, "fixed_cost": row.fixed_cost, "usual": row.usual}
        given["place"] = row.place_id
        return {**super().get_initial(), **given}
