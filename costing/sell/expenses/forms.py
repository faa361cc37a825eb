"""Forms of money and hours beside the pieces: what came in, what selling and the year cost, hours that no skin bears."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms

from costing.sell.expenses import selectors as expenses
from costing.sell.expenses.models import Expense
from inventory.web.fields import MoneyBox, Suggest
from inventory.web.forms import DayField, EntryForm, _YearFinder, words

FOR_A_FAIR = [Expense.Kind.PITCH, Expense.Kind.FUEL, Expense.Kind.FEE, Expense.Kind.OTHER]
FOR_A_SALE = [Expense.Kind.FEE, Expense.Kind.POSTAGE, Expense.Kind.OTHER]
FOR_THE_YEAR = [Expense.Kind.OVERHEAD, Expense.Kind.POSTAGE, Expense.Kind.FUEL, Expense.Kind.OTHER]


class ExpenseForm(EntryForm):
    kind = forms.ChoiceField(label="For", widget=forms.RadioSelect)
    amount = MoneyBox()
    on = DayField(label="Paid on")
    words = forms.CharField(max_length=200, required=False, label="What it was", widget=Suggest(expenses.spent_words))
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


class ExpenseFinder(_YearFinder):
    model = Expense
    looks_in = ("words", "sale__number", "fair__name")
    words = words("Words, paper or fair")
    kind = django_filters.ChoiceFilter(choices=Expense.Kind.choices, empty_label="Any", label="For")
