"""Pages of the rates and of the channels."""

from __future__ import annotations

from typing import Any

from django import forms
from django.urls import reverse
from django.utils.formats import date_format

from costing.make.cost.rates import selectors as rates_read
from costing.make.cost.rates import services as rates
from costing.make.cost.rates.forms import RatesForm
from costing.make.cost.rates.models import EVER, Rates
from inventory.base import selectors as workshop
from inventory.web.views import EntryView

AMOUNTS = ("wage_per_hour", "overhead_per_hour", "frame_wear", "price_step")


class RatesPage(EntryView):
    form_class = RatesForm
    title = "Rates"
    room = "Setup"
    template_name = "costing/make/cost/rates/rates.html"
    lead = "They hold from a day on. Finished pieces keep the rates they were finished with."
    cancel_name = "setup"

    def get_initial(self) -> dict[str, Any]:
        row = rates_read.current()
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
        held = rates_read.history().held()
        return super().get_context_data(
            held=held,
            replaced=any(each.replaced for each in held),
            ever=EVER,
            trail=[("Setup", reverse("setup"))],
            **more,
        )
