"""The forms of a cost and of non-production hours, and what their lists can be narrowed by."""

from typing import Any

from django import forms

from costing.sell.expenses.models import Expense, SideHours
from costing.sell.expenses.services import LONGEST_LIFE
from costing.sell.headings import selectors as headings
from costing.sell.headings.models import CostKind
from costing.sell.headings.shipped import KINDS
from inventory.base.models import How
from inventory.web.bills import BillField, Buys, with_bill
from inventory.web.fields import DueField, HowField, MoneyBox, Suggest, used
from inventory.web.filters import Finder, one_of, search, year_of
from inventory.web.forms import DayField, EntryForm, FigureField, NoteField, WholeField

_SELLING, _YEAR = CostKind.Place.SELLING, CostKind.Place.YEAR
FOR_A_FAIR = (Expense.Kind.PITCH, Expense.Kind.FUEL, Expense.Kind.FEE, Expense.Kind.OTHER)
FOR_A_SALE = (Expense.Kind.FEE, Expense.Kind.POSTAGE, Expense.Kind.OTHER)
BESIDE_THE_YEAR = (Expense.Kind.POSTAGE, Expense.Kind.FUEL, Expense.Kind.OTHER)
# What a cost of a kind is entered by besides its amount; for the others it is folded away.
ASKED: dict[str, tuple[str, ...]] = {
    CostKind.Asks.DISTANCE: ("distance", "unit", "rate"),
    CostKind.Asks.LIFE: ("life_years",),
    CostKind.Asks.PERSON: ("person",),
}


def kinds_of(usual: tuple[str, ...], place: str) -> list[tuple[str, str]]:
    """The usual kinds first, then those of the year, or the maker's own of selling."""
    known = headings.kinds()
    own = [
        row
        for row in headings.offered(place)
        if row.code not in usual and not (place == _SELLING and row.code in KINDS)
    ]
    rows = [*own, *(known[code] for code in usual)] if place == _YEAR else [*(known[code] for code in usual), *own]
    return [(row.code, row.name) for row in rows if not row.closed]


def every_kind() -> list[tuple[str, str]]:
    return [(row.code, row.name) for row in headings.kinds().values()]


FEW = 6
WITH_A_KIND = ("person", "life_years", "distance", "unit", "rate")


class ExpenseForm(Buys):
    """`asks`: what the kind is entered by; only that is asked. A kind chosen after is asked for when it is sent."""

    more = ("due_on", "original_sum", "original_currency", "bill")

    bill = BillField(required=False)
    kind = forms.ChoiceField(label="For", widget=forms.RadioSelect)
    amount = MoneyBox()
    on = DayField(label="Paid on", help_text="Of a bill that is due later, its own day.")
    words = NoteField("What it was", widget=Suggest(used(Expense, "words")))
    how = HowField()
    due_on = DueField()
    person = forms.CharField(max_length=80, required=False, widget=Suggest(used(Expense, "person")))
    life_years = WholeField(
        "Lasts, years", least=1, most=LONGEST_LIFE, required=False, help_text="Of equipment: an equal share each year."
    )
    distance = FigureField(required=False, help_text="Driven. The amount is the distance at the rate.")
    unit = forms.ChoiceField(required=False, choices=[("", "As set up"), *CostKind.Unit.choices], label="In")
    rate = MoneyBox(required=False, label="Rate", help_text="For one km or mi. Empty: the rate in Setup.")
    withheld = forms.BooleanField(
        required=False,
        label="Fee deducted before payout",
        help_text="It then counts as paid by the buyer, as a gallery's fee does.",
    )

    def __init__(self, *args: Any, kinds: list[tuple[str, str]], of: str, asks: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["kind"] = forms.ChoiceField(
            choices=kinds, label="For", widget=forms.RadioSelect if len(kinds) <= FEW else forms.Select
        )
        if of != "sale":
            del self.fields["withheld"]
        shown = ASKED.get(asks, ())
        for name in WITH_A_KIND:
            if name not in shown:
                del self.fields[name]
        for name in shown[:1]:
            self.fields[name].required = True
        if asks == CostKind.Asks.DISTANCE:  # it moves no money, and the rate makes the amount
            for name in ("amount", "how", "due_on", "tax_percent", "original_sum", "original_currency", "bill"):
                self.fields.pop(name, None)
            self.fields["on"].label, self.fields["on"].help_text = "Driven on", ""
        self.order_fields(["request_key", "kind", *shown, "amount", "tax_percent", "on", "words", "how"])


class ExpenseFinder(Finder):
    looks_in = ("words", "sale__number", "fair__name")
    words = search("Words, paper or fair")
    year = year_of(Expense)
    kind = one_of(every_kind, "For")
    how = one_of(How.choices, "Paid")
    bill = with_bill()


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
