"""The form of a customer, and what the list can be narrowed by."""

from django import forms

from costing.sell.sales.exemptions import rules as exemptions
from costing.sell.sales.terms import selectors as terms_read
from inventory.base import locales
from inventory.base.languages import NAMES
from inventory.web.fields import Suggest
from inventory.web.filters import Finder, search
from inventory.web.forms import EntryForm, NoteField, TaxNumberField


class CustomerForm(EntryForm):
    name = forms.CharField(max_length=80)
    postal_address = NoteField("Address", widget=forms.Textarea(attrs={"rows": 3}), help_text="An invoice names it.")
    country = NoteField(
        longest=2,
        widget=Suggest(lambda: [code for code, _ in locales.countries()]),
        help_text="Two letters, such as FI or DE. An e-invoice must say it.",
    )
    electronic_address = NoteField("Phone or mail", longest=120)
    tax_number = TaxNumberField(longest=40, help_text="Of a business that buys from you, or of its certificate.")
    relief = NoteField(
        "Tax exemption reason",
        longest=120,
        widget=Suggest(lambda: exemptions.offered(terms_read.terms().law)),
        help_text="Such as “Resale certificate”: no tax is charged to them, and their papers say why.",
    )
    language = forms.ChoiceField(
        label="Language of their papers",
        choices=[("", "As the workshop's"), *NAMES.items()],
        required=False,
        help_text="Each print may still choose another.",
    )
    note = NoteField(help_text="Keep only what you need: they may ask what you know of them.")


class CustomerFinder(Finder):
    looks_in = ("name", "postal_address", "electronic_address", "note")
    words = search("Name, address or note")
