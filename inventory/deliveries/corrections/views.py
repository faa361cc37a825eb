"""The page that takes out again a delivery of which something was used since: what goes, what stays, one confirmation."""

from datetime import date
from typing import Any

from django import forms
from django.utils.functional import cached_property

from inventory.deliveries import selectors as deliveries_read
from inventory.deliveries.corrections import selectors as corrections_read, services as corrections
from inventory.deliveries.models import Delivery, DeliveryLine
from inventory.ledger.models import Lot, Posting
from inventory.money import ZERO
from inventory.permits import Act
from inventory.web.reversals import ON, REASON, Reversal, ReversalForm


class CorrectionForm(ReversalForm):
    seen = forms.CharField(widget=forms.HiddenInput(attrs={"autocomplete": "off"}), required=False)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields[ON].help_text = "Another day first shows what is taken out then."


class DeliveryCorrection(Reversal[Delivery]):
    things = staticmethod(deliveries_read.deliveries)
    template_name = "inventory/deliveries/correct.html"
    form_class = CorrectionForm
    needs = Act.GOODS
    asks = (ON, REASON)
    title = "Correct: {self.thing}"
    lead = "For a delivery that was entered twice, or never came, of which something was used since."
    submit = "Take it out"
    success_message = "What was left of the delivery is taken out; both entries stay in the books, linked."

    @cached_property
    def lines(self) -> list[DeliveryLine]:
        return list(deliveries_read.lines(self.thing))

    @cached_property
    def lots(self) -> dict[int, list[Lot]]:
        return corrections_read.open_lots(self.lines)

    @cached_property
    def best_day(self) -> date:
        return corrections_read.best_day(self.thing, self.lines, self.lots)

    def happened(self) -> date:
        return self.best_day

    def get_initial(self) -> dict[str, Any]:
        return {ON: self.best_day}

    def enter(self, form: forms.Form) -> Posting:
        return corrections.correct(delivery=self.thing, **self.sent(form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        form = context["form"]
        day = (form.is_bound and getattr(form, "cleaned_data", {}).get(ON)) or self.best_day
        parts = corrections_read.parts(self.lines, day, lots=self.lots)
        _show(form, corrections_read.seen(parts))
        came, out = sum((part.came.value for part in parts), ZERO), sum((part.value for part in parts), ZERO)
        return {**context, "parts": parts, "day": day, "came": came, "out": out, "rest": came - out, "less": out - came}


def _show(form: forms.Form, seen: str) -> None:
    """The figures that the page shows are those that its next sending confirms."""
    form.initial["seen"] = seen
    if form.is_bound:
        data: Any = form.data
        form.data = data = data.copy()
        data["seen"] = seen
