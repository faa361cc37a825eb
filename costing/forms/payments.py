"""Forms of money and hours beside the pieces: what came in, what selling and the year cost, hours that no skin bears."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from costing.models import Expense, Payment, SideHours
from costing.selectors import ledgers
from inventory.forms.entry import DayField, EntryForm, FigureField
from inventory.forms.filters import Finder, words
from inventory.forms.measures import MoneyBox, Suggest

FOR_A_FAIR = [Expense.Kind.PITCH, Expense.Kind.FUEL, Expense.Kind.FEE, Expense.Kind.OTHER]
FOR_A_SALE = [Expense.Kind.FEE, Expense.Kind.POSTAGE, Expense.Kind.OTHER]
FOR_THE_YEAR = [Expense.Kind.OVERHEAD, Expense.Kind.POSTAGE, Expense.Kind.FUEL, Expense.Kind.OTHER]


class PaymentForm(EntryForm):
    amount = MoneyBox()
    how = forms.ChoiceField(choices=Payment.How.choices, label="How", widget=forms.RadioSelect, initial="cash")
    on = DayField(label="Came on")
    note = forms.CharField(max_length=200, required=False)


class PaidBackForm(PaymentForm):
    on = DayField(label="Paid back on")


class BackForm(EntryForm):
    """Takes an entry back by a linked one."""

    on = DayField(label="On", help_text="The day of the entry, unless the books are closed to it.")


class ExpenseForm(EntryForm):
    kind = forms.ChoiceField(label="For", widget=forms.RadioSelect)
    amount = MoneyBox()
    on = DayField(label="Paid on")
    words = forms.CharField(max_length=200, required=False, label="What it was", widget=Suggest(ledgers.spent_words))
    withheld = forms.BooleanField(
        required=False,
        label="Kept back before I was paid",
        help_text="It then counts as paid by the buyer, as a gallery's fee does.",
    )

    def __init__(self, *args: Any, kinds: list[Expense.Kind], of_sale: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["kind"] = forms.ChoiceField(
            choices=[(kind.value, kind.label) for kind in kinds], label="For", widget=forms.RadioSelect
        )
        if not of_sale:
            del self.fields["withheld"]
        self.order_fields(["kind", "amount", "on", "words", "withheld"])


class HoursForm(EntryForm):
    kind = forms.ChoiceField(choices=SideHours.Kind.choices, label="At", widget=forms.RadioSelect)
    minutes = FigureField(
        label="Minutes", unit="min", help_text="Of one day, or of a whole month or year: 22 h are 1320."
    )
    on = DayField(label="Day", help_text="Of more than one day, the last.")
    words = forms.CharField(max_length=80, required=False, label="What you did")


class _YearFinder(Finder):
    year = django_filters.ChoiceFilter(method="by_year", choices=list, empty_label="Any", label="Year")
    model: Any = None

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.filters["year"].extra["choices"] = [(str(year), str(year)) for year in ledgers.years(self.model)]

    def by_year(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        return rows.filter(on__year=int(value))


class PaymentFinder(_YearFinder):
    model = Payment
    looks_in = ("number", "sale__number", "job__number", "customer__name", "note")
    words = words("Number, paper or who")
    how = django_filters.ChoiceFilter(choices=Payment.How.choices, empty_label="Any way")


class ExpenseFinder(_YearFinder):
    model = Expense
    looks_in = ("words", "sale__number", "fair__name")
    words = words("Words, paper or fair")
    kind = django_filters.ChoiceFilter(choices=Expense.Kind.choices, empty_label="Any", label="For")


class HoursFinder(_YearFinder):
    model = SideHours
    looks_in = ("words",)
    words = words("What you did")
    kind = django_filters.ChoiceFilter(choices=SideHours.Kind.choices, empty_label="Any", label="At")
