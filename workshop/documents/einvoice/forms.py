"""What an e-invoice is asked for with, in its address."""

from typing import TypedDict

from django import forms

from inventory.errors import Refused
from inventory.web.forms import NoteField
from workshop.documents.einvoice.rules import UNTAXED


class Options(TypedDict):
    untaxed: str
    buyer_reference: str


class EInvoiceForm(forms.Form):
    untaxed = forms.ChoiceField(
        label="Lines without tax are",
        required=False,
        choices=[("", "as the paper says"), *((code.value, says) for code, says in UNTAXED.items())],
        help_text="Only where no tax is charged. If you are not sure, ask your accountant.",
    )
    buyer_reference = NoteField(
        "Buyer's reference", longest=60, help_text="If the buyer named one, such as of an order."
    )

    def options(self) -> Options:
        """What it says; a kind that is none is refused in words."""
        if not self.is_valid():
            raise Refused(str(next(iter(self.errors.values()))[0]), field=next(iter(self.errors)))
        return Options(untaxed=self.cleaned_data["untaxed"], buyer_reference=self.cleaned_data["buyer_reference"])
