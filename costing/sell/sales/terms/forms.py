"""Forms of the terms of selling, and of how the numbers of papers are written."""

from typing import Any

from django import forms

from costing.sell.rounding.rules import LEVELS, WAYS
from costing.sell.sales.exemptions import rules as exemptions
from costing.sell.sales.models import Series
from costing.sell.sales.numbering.services import MOST_DIGITS
from costing.sell.sales.terms import selectors as terms_read
from costing.sell.sales.terms.rules import LONGEST
from costing.sell.sales.terms.services import LONGEST_DAYS
from inventory.base.models import Reference
from inventory.web.fields import MoneyBox, Suggest, halved
from inventory.web.forms import FigureField, GroupedForm, NoteField, TaxNumberField, WholeField


def reminder_field(label: str) -> NoteField:
    return NoteField(
        label, longest=LONGEST, widget=forms.Textarea(attrs={"rows": 4}), help_text="Empty: the usual words."
    )


class TermsForm(GroupedForm):
    more = (
        *("business_number", "untaxed_words", "short_limit", "storage_free_days", "storage_per_day"),
        *("turnover_limit", "rolling", "late_interest_percent", "reminder_friendly", "reminder_firm", "reminder_final"),
        *("tax_level", "tax_way", "deposit_tax", "deducts_tax", "iban", "bic", "payment_name", "reference"),
    )
    legends = {
        "Tax": ("tax_number", "business_number", "prices_with_tax", "untaxed_words", "short_limit"),
        "Tax, in detail": ("tax_level", "tax_way", "deposit_tax", "deducts_tax"),
        "Getting paid": ("payment_days", "payment_words", "iban", "bic", "payment_name", "reference"),
        "Late payers": ("late_interest_percent", "reminder_friendly", "reminder_firm", "reminder_final"),
        "Jobs": ("deposit_percent", "storage_free_days", "storage_per_day"),
        "Turnover": ("turnover_limit", "rolling"),
    }

    tax_number = TaxNumberField(
        "Your tax number",
        longest=40,
        help_text="Empty: you are not registered, and no paper shows a tax. The rate is set in Rates.",
    )
    business_number = NoteField("Your business number", longest=40)
    prices_with_tax = forms.BooleanField(required=False, label="My prices have the tax in them")
    tax_level = forms.ChoiceField(
        required=False, choices=LEVELS, label="Tax is rounded for", help_text="Keep to one for a whole tax period."
    )
    tax_way = forms.ChoiceField(
        required=False,
        choices=WAYS,
        label="Which way it is rounded",
        help_text="As your country has it; half up where it says nothing.",
    )
    deposit_tax = forms.BooleanField(
        required=False, label="Tax on a deposit is due when the money comes", help_text="As in most of Europe."
    )
    deducts_tax = forms.BooleanField(
        required=False,
        label="I deduct the tax on what I buy",
        help_text="Goods, skins and costs then ask for the tax in them, and count without it.",
    )
    untaxed_words = NoteField(
        "Words when no tax is shown",
        longest=120,
        widget=Suggest(lambda: exemptions.small_business(terms_read.terms().law)),
        help_text="Empty: the usual words.",
    )
    short_limit = MoneyBox(
        required=False,
        label="A short paper up to",
        help_text="Up to this sum a sale needs no invoice with the buyer's name. Your law sets it; empty: never.",
    )
    payment_days = WholeField("Days to pay an invoice", most=LONGEST_DAYS)
    payment_words = NoteField("How to pay", help_text="What invoices say of it besides the account below.")
    iban = NoteField(
        "IBAN",
        longest=42,
        help_text="Invoices name it, and in euro they have a code that fills in the buyer's banking app.",
    )
    bic = NoteField("BIC", longest=14, help_text="Only where your buyers' banks ask for it.")
    payment_name = NoteField("Name of the account", longest=70, help_text="Empty: the maker's.")
    reference = forms.ChoiceField(
        required=False,
        choices=Reference.choices,
        label="Payment reference",
        help_text="It tells you which invoice was paid. RF works in the whole of SEPA; a Swiss one needs a QR-IBAN.",
    )
    late_interest_percent = FigureField(
        required=False,
        label="Interest on what is overdue",
        unit="% a year",
        help_text="Empty or 0: none. A reminder asks for it and the books do not. Your law may limit it.",
    )
    reminder_friendly = reminder_field("Friendly reminder")
    reminder_firm = reminder_field("Firm reminder")
    reminder_final = reminder_field("Final reminder")
    deposit_percent = FigureField(label="Deposit before a job", unit="%", help_text="Of the agreed price.")
    storage_free_days = WholeField(
        "Free days of storage", most=LONGEST_DAYS, help_text="From the day on which you tell that a job is ready."
    )
    storage_per_day = MoneyBox(label="Storage a day after that", help_text="0 for none. Say it before you take a job.")
    turnover_limit = MoneyBox(
        required=False, label="Turnover to watch", help_text="Where you would have to register for tax, if any."
    )
    rolling = forms.BooleanField(required=False, label="Watch it over any twelve months, not the calendar year")


class SeriesForm(GroupedForm):
    """Prefix and digits of each series; those with a paper are shown and cannot be written."""

    def __init__(self, *args: Any, rows: dict[str, Series], **options: Any) -> None:
        super().__init__(*args, **options)
        self.legends = {str(label): (f"{kind}_prefix", f"{kind}_digits") for kind, label in Series.Kind.choices}
        for kind, row in rows.items():
            self.fields[f"{kind}_prefix"] = halved(
                forms.CharField(
                    max_length=8,
                    required=False,
                    label="Begins with",
                    initial=row.prefix,
                    disabled=row.last >= row.first,
                )
            )
            self.fields[f"{kind}_digits"] = halved(
                forms.IntegerField(
                    min_value=1,
                    max_value=MOST_DIGITS,
                    label="Digits",
                    initial=row.digits,
                    disabled=row.last >= row.first,
                )
            )

    def written(self) -> dict[str, tuple[str, int]]:
        given = self.cleaned_data
        return {kind: (given[f"{kind}_prefix"], given[f"{kind}_digits"]) for kind in Series.Kind.values}
