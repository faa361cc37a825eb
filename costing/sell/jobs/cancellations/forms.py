"""The form of a job that is cancelled."""

from typing import Any

from django import forms

from costing.sell.payments.models import Payment
from costing.sell.pricing.forms import TypedPrice
from costing.sell.sales.models import Sale
from costing.sell.sales.offers.forms import UntaxedField
from inventory.web.fields import MoneyBox, Suggest
from inventory.web.forms import DayField, EntryForm

ENDS = ["the customer wants it back as it is", "not worth going on", "nothing of it is left"]


class CancelForm(EntryForm):
    """The work ends undone: the day, why, what is kept of the money and, where the page `asks` it, what goes back."""

    on = DayField(label="Cancelled on", help_text="The skin goes home that day and takes no cost after it.")
    reason = forms.CharField(max_length=200, widget=Suggest(lambda: ENDS))
    kept = TypedPrice(
        usual=False,
        required=False,
        min_value=0,
        label="Kept for the work so far",
        help_text="It is billed, and what was paid before is set off. Empty: nothing is kept.",
    )
    relief = UntaxedField("It is without tax, because")
    paper = forms.ChoiceField(
        choices=[(Sale.Kind.INVOICE, "Invoice"), (Sale.Kind.SALE, "Receipt over the counter")],
        label="Bill for what is kept",
        widget=forms.RadioSelect,
        required=False,
    )
    how = forms.ChoiceField(
        choices=[("", "No money goes back"), *Payment.How.in_money()],
        required=False,
        label="Paid back",
        widget=forms.RadioSelect,
    )
    amount = MoneyBox(required=False, label="How much goes back", help_text="Empty: all that is then theirs.")

    def __init__(self, *args: Any, asks: bool, taxed: bool, exempt: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["kept"].relief = exempt  # type: ignore[attr-defined]
        if not taxed:
            del self.fields["relief"]
        if not asks:
            del self.fields["how"], self.fields["amount"]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("amount") is not None and not found.get("how"):
            self.add_error("how", "Say how it goes back, or clear how much.")
        return found
