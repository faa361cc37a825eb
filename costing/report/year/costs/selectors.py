"""What a year cost besides goods, by kind: as it was incurred and as it was paid; equipment by its life; contractors by person.

Equipment counts by its share of the year both ways, as most tax offices want it: what was paid for it is in the cash book.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from costing.make.labour.models import LabourLine
from costing.report.year.costs import rules
from costing.report.year.costs.rules import WrittenOff
from costing.sell.bills.rules import Bill
from costing.sell.expenses import selectors as expenses
from costing.sell.expenses.models import Expense
from costing.sell.headings.models import CostKind
from inventory.base import selectors as workshop
from inventory.money import ZERO

ByKind = Mapping[str, Decimal]


@dataclass(frozen=True)
class Equipment:
    what: str
    bought_on: date
    life_years: int
    written_off: WrittenOff


@dataclass(frozen=True)
class Spent:
    """By kind of cost. `equipment` is all that has a share or a rest in the year.

    `people` what each person was paid: as a cost, and for help that is in pieces.
    """

    incurred: ByKind
    paid: ByKind
    equipment: list[Equipment]
    people: Mapping[str, tuple[Decimal, Decimal]]

    @property
    def not_written_off(self) -> Decimal:
        return sum((row.written_off.left for row in self.equipment), ZERO)


def within(year: int, bills: Iterable[Bill]) -> Spent:
    """Of a calendar year, without deducted tax; of `bills` those of costs count as they are paid."""
    rows = Expense.objects.filter(on__year=year, life_years__isnull=True).order_by()
    told = list(rows.values_list("kind", "due_on", "person").annotate(Sum("amount")))
    incurred = _by((kind, amount) for kind, _, _, amount in told)
    at_once = [(kind, amount) for kind, due_on, _, amount in told if due_on is None]
    eve, last, places = date(year - 1, 12, 31), date(year, 12, 31), workshop.places()
    of_costs = (bill for bill in bills if bill.expense is not None and not bill.life)
    later = ((bill.kind, bill.paid_net(last, places) - bill.paid_net(eve, places)) for bill in of_costs)
    paid = _by([*at_once, *later])
    equipment = [row for row in _equipment(year) if row[1].written_off.share or row[1].written_off.left]
    for kind, row in equipment:
        incurred[kind] += row.written_off.share
        paid[kind] += row.written_off.share
    people = _by((person, amount) for _, _, person, amount in told if person)
    helped = LabourLine.objects.filter(on__year=year).exclude(who="").exclude(paid=0).order_by()
    helpers = _by(helped.values_list("who").annotate(Sum("paid")))
    named = {name: (people.get(name, ZERO), helpers.get(name, ZERO)) for name in sorted({*people, *helpers})}
    return Spent(incurred, paid, [row for _, row in equipment], named)


def unpaid(bills: Iterable[Bill], on: date) -> Decimal:
    """What is left at the end of a day of bills that count in the year they came; equipment counts by its share."""
    places = workshop.places()
    return sum((bill.left_net(on, places) for bill in bills if not bill.life), ZERO)


def at_place(spent: ByKind, kinds: Mapping[str, CostKind], place: str) -> Decimal:
    """What the costs of one place come to; a kind that is not in the list is of the year."""
    return sum((amount for code, amount in spent.items() if _place(kinds.get(code)) == place), ZERO)


def _place(kind: CostKind | None) -> str:
    return kind.place if kind else CostKind.Place.YEAR


def _equipment(year: int) -> Iterable[tuple[str, Equipment]]:
    rows = expenses.expenses().filter(life_years__isnull=False, reverses__isnull=True, on__year__lte=year)
    for row in rows.order_by("on", "pk"):
        back = getattr(row, "reversed_by", None)
        life = row.life_years or 1
        off = rules.straight_line(row.amount, life, row.on, year, workshop.places(), undone=back.on if back else None)
        yield row.kind, Equipment(row.words or row.get_kind_display(), row.on, life, off)


def _by(rows: Iterable[tuple[str, Decimal]]) -> dict[str, Decimal]:
    found: dict[str, Decimal] = defaultdict(Decimal)
    for key, amount in rows:
        found[key] += amount
    return found
