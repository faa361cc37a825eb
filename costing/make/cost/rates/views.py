"""The page of the rates."""

from typing import Any

from django import forms

from costing.make.cost.rates import selectors as rates_read, services as rates
from costing.make.cost.rates.forms import RatesForm
from costing.make.cost.rates.models import EVER, Rates
from inventory import formats
from inventory.web.views import EntryView


class RatesPage(EntryView):
    form_class = RatesForm
    title = "Rates"
    trail = ("setup",)
    template_name = "costing/make/cost/rates/rates.html"
    lead = "They hold from a day on. Finished pieces keep the rates they were finished with."
    cancel_page = "setup"

    def get_initial(self) -> dict[str, Any]:
        row = rates_read.current()
        return {name: getattr(row, name) for name in rates.FIGURES}

    def enter(self, form: forms.Form) -> Rates:
        return rates.set_rates(**self.sent(form))

    def get_success_message(self) -> str:
        if self.made.since == EVER:
            return "The rates are set, for all days before too."
        return f"The rates hold from {formats.day(self.made.since, full=True)}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        held = rates_read.history().held()
        replaced = any(each.replaced for each in held)
        return super().get_context_data(held=held, replaced=replaced, ever=EVER, **more)
