"""The form of a credit."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from costing.sell.payments.models import Payment
from costing.sell.sales.models import SaleLine
from costing.sell.sales.offers import selectors as offers
from costing.sell.sales.offers.forms import NOT_YET
from inventory.places.forms import place_field
from inventory.web.fields import MoneyBox
from inventory.web.forms import DayField, EntryForm


class CreditForm(EntryForm):
    """A credit of whole lines, or of amounts off them."""

    on = DayField(label="Day")
    reason = forms.CharField(max_length=200, help_text="It is printed on the credit note.")
    back_to = place_field("Pieces come back to", among=offers.places_held())
    how = forms.ChoiceField(
        choices=[(NOT_YET, "No money went back"), *Payment.How.in_money()],
        required=False,
        label="Paid back",
        widget=forms.RadioSelect,
    )
    amount = MoneyBox(required=False, label="How much went back", help_text="Empty: all that is then paid too much.")

    def __init__(self, *args: Any, lines: Sequence[SaleLine], **options: Any) -> None:
        super().__init__(*args, **options)
        self.lines = list(lines)
        for line in self.lines:
            self.fields[f"line-{line.pk}"] = forms.BooleanField(
                required=False, initial=True, label=f"{line.words}: all of it"
            )
            self.fields[f"cut-{line.pk}"] = MoneyBox(required=False, label=f"Or only this much off {line.words}")

    def members(self) -> list[tuple[SaleLine, forms.BoundField, forms.BoundField]]:
        return [(line, self[f"line-{line.pk}"], self[f"cut-{line.pk}"]) for line in self.lines]

    def head(self) -> list[forms.BoundField]:
        return [self[name] for name in ("on", "reason", "back_to", "how", "amount")]

    def whole(self) -> list[SaleLine]:
        """Lines ticked; an amount beside a tick wins over it."""
        cuts = self.cuts()
        return [line for line in self.lines if self.cleaned_data.get(f"line-{line.pk}") and line.pk not in cuts]

    def cuts(self) -> dict[int, Decimal]:
        named = {line.pk: self.cleaned_data.get(f"cut-{line.pk}") for line in self.lines}
        return {pk: amount for pk, amount in named.items() if amount is not None}

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if self.whole() and self.cuts():
            self.add_error(None, "Credit whole lines, or amounts off lines; for both write two credits.")
        if found.get("amount") is not None and not found.get("how"):
            self.add_error("how", "Say how it went back, or clear how much.")
        return found
