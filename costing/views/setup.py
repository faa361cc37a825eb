"""Pages of the rates and of the channels."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.forms.setup import ChannelForm, RatesForm
from costing.models import Channel, Rates
from costing.models.rates import EVER
from costing.selectors import rates as read
from costing.services import channels, rates
from inventory.selectors import workshop
from inventory.views.entry import EntryView

AMOUNTS = ("wage_per_hour", "overhead_per_hour", "frame_wear", "price_step")


class RatesPage(EntryView):
    form_class = RatesForm
    title = "Rates"
    room = "Setup"
    template_name = "costing/rates.html"
    lead = "They hold from a day on. Finished pieces keep the rates they were finished with."
    cancel_name = "setup"

    def get_initial(self) -> dict[str, Any]:
        row = read.current()
        return {
            **super().get_initial(),
            "since": workshop.today(),
            "vat_percent": row.vat_percent,
            **{name: getattr(row, name) for name in AMOUNTS},
        }

    def enter(self, form: forms.Form) -> Rates:
        found = form.cleaned_data
        return rates.set_rates(
            since=found["since"],
            by=self.request.user,
            request_key=found["request_key"],
            vat_percent=found["vat_percent"],
            **{name: found[name] for name in AMOUNTS},
        )

    def said(self) -> str:
        if self.made.since == EVER:
            return "The rates are set, for all days before too."
        return f"The rates hold from {date_format(self.made.since, 'j F Y')}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        held = read.history().held()
        return super().get_context_data(
            held=held,
            replaced=any(each.replaced for each in held),
            ever=EVER,
            trail=[("Setup", reverse("setup"))],
            **more,
        )


@require_safe
def channel_list(request: HttpRequest) -> HttpResponse:
    context = {
        "title": "Where you sell",
        "room": "Setup",
        "trail": [("Setup", reverse("setup"))],
        "channels": Channel.objects.all(),
    }
    return render(request, "costing/channels/channels.html", context)


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
