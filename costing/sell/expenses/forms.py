"""The forms of a cost and of non-production hours, and what their lists can be narrowed by."""

from typing import Any

from django import forms

from costing.sell.expenses.models import Expense, SideHours
from inventory.web.fields import MoneyBox, Suggest, used
from inventory.web.filters import Finder, one_of, search, year_of
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField

FOR_A_FAIR = [Expense.Kind.PITCH, Expense.Kind.FUEL, Expense.Kind.FEE, Expense.Kind.OTHER]
FOR_A_SALE = [Expense.Kind.FEE, Expense.Kind.POSTAGE, Expense.Kind.OTHER]
FOR_THE_YEAR = [Expense.Kind.OVERHEAD, Expense.Kind.POSTAGE, Expense.Kind.FUEL, Expense.Kind.OTHER]


class ExpenseForm(EntryForm):
    kind = forms.ChoiceField(label="For", widget=forms.RadioSelect)
    amount = MoneyBox()
    on = DayField(label="Paid on")
    words = NoteField("What it was", widget=Suggest(used(Expense, "words")))
    withheld = forms.BooleanField(
        required=False,
        label="Fee deducted before payout",
        help_text="It then counts as paid by the buyer, as a gallery's fee does.",
    )

    def __init__(self, *args: Any, kinds: list[Expense.Kind], of_sale: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["kind"] = forms.ChoiceField(
            choices=[(kind.value, kind.label) for kind in kinds], label="For", widget=forms.RadioSelect
        )
        if not of_sale:
            del self.fields["withheld"]


class ExpenseFinder(Finder):
    looks_in = ("words", "sale__number", "fair__name")
    words = search("Words, paper or fair")
    year = year_of(Expense)
    kind = one_of(Expense.Kind.choices, "For")


class HoursForm(EntryForm):
    kind = forms.ChoiceField(
        choices=SideHours.Kind.choices, label="At", widget=forms.RadioSelect, initial=SideHours.Kind.PAPERS
    )
    minutes = FigureField(
        label="Minutes", unit="min", help_text="Of one day, or of a whole month or year: 22 h are 1320."
    )
    on = DayField(label="Day", help_text="Of more than one day, the last.")
    words = NoteField("What you did", longest=80)


class HoursFinder(Finder):
    looks_in = ("words",)
    words = search("What you did")
    year = year_of(SideHours)
    kind = one_of(SideHours.Kind.choices, "At")
