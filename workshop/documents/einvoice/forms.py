"""What an e-invoice is asked for with, in its address."""

from collections.abc import Collection
from typing import Any, TypedDict

from django import forms

from inventory.errors import Refused
from inventory.web.forms import NoteField
from workshop.documents.einvoice.rules import UNTAXED, Category


class Options(TypedDict):
    untaxed: str
    buyer_reference: str


class EInvoiceForm(forms.Form):
    untaxed = forms.ChoiceField(
        label="Lines without tax are",
        required=False,
        choices=[("", "not said"), *((code.value, says) for code, says in UNTAXED.items())],
        help_text="Only where no tax is charged. If you are not sure, ask your accountant.",
    )
    buyer_reference = NoteField(
        "Buyer's reference", longest=60, help_text="If the buyer named one, such as of an order."
    )

    def asks_of(self, kinds: Collection[Category]) -> None:
        """Offer these kinds alone, and do not ask where there is nothing to choose."""
        field: Any = self.fields["untaxed"]
        field.choices = [pair for pair in field.choices if not pair[0] or pair[0] in kinds]
        if not kinds:
            field.widget = forms.HiddenInput()

    def options(self) -> Options:
        """What it says; a kind that is none is refused in words."""
        if not self.is_valid():
            raise Refused(str(next(iter(self.errors.values()))[0]), field=next(iter(self.errors)))
        return Options(untaxed=self.cleaned_data["untaxed"], buyer_reference=self.cleaned_data["buyer_reference"])
