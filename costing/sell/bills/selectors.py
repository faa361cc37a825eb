"""Every bill that was due later than it came, and what is left of each: what the maker owes."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet, Sum

from costing.sell.bills.models import BillPayment
from costing.sell.bills.rules import Bill, Moved
from costing.sell.expenses import selectors as expenses
from inventory.models import CorrectedLine, Delivery, Kind, Movement
from inventory.money import ZERO


def bills() -> list[Bill]:
    """Of goods and of costs, the earliest due first. As many queries however many there are."""
    return sorted([*_of_goods(), *_of_costs()], key=lambda bill: (bill.due_on, bill.name))


def goods_moved() -> Iterator[tuple[int, date, Decimal]]:
    """What each delivery came to and what was taken off it again: its id, the day, the value."""
    of_posting = dict(Delivery.objects.values_list("posting_id", "pk"))
    of_posting |= dict(CorrectedLine.objects.values_list("movement__posting_id", "line__delivery_id"))
    rows = Movement.objects.filter(kind__in=(Kind.RECEIPT, Kind.CORRECTED)).order_by("posting_id")
    summed = rows.values_list("posting_id", "posting__reverses_id", "on").annotate(Sum("value"))
    for posting, reverses, on, value in summed:
        delivery = of_posting.get(posting) or of_posting.get(reverses or 0)
        if delivery is not None:
            yield delivery, on, value


def _of_goods() -> Iterator[Bill]:
    due = {row.pk: row for row in Delivery.objects.filter(due_on__isnull=False).select_related("supplier")}
    moved: dict[int, list[Moved]] = defaultdict(list)
    if due:
        for delivery, on, value in goods_moved():
            moved[delivery].append((on, value))
    paid = _paid("delivery_id")
    for pk, row in due.items():
        name = f"{row.supplier}, {row.ref}" if row.ref else str(row.supplier)
        yield Bill(name, _day(row.due_on), tuple(moved[pk]), tuple(paid[pk]), delivery=pk)


def _of_costs() -> Iterator[Bill]:
    rows = expenses.expenses().filter(due_on__isnull=False, reverses__isnull=True)
    paid = _paid("expense_id")
    for row in rows:
        back = getattr(row, "reversed_by", None)
        moved = [(row.on, row.amount), *([(back.on, back.amount)] if back else [])]
        name = ", ".join(filter(None, (row.get_kind_display(), row.person, row.words)))
        yield Bill(
            name,
            _day(row.due_on),
            tuple(moved),
            tuple(paid[row.pk]),
            row.kind,
            row.life_years is not None,
            expense=row.pk,
        )


def _paid(key: str) -> dict[int, list[Moved]]:
    found: dict[int, list[Moved]] = defaultdict(list)
    for pk, on, amount in BillPayment.objects.filter(**{f"{key}__isnull": False}).values_list(key, "on", "amount"):
        found[pk].append((on, amount))
    return found


def _day(due_on: date | None) -> date:
    assert due_on is not None  # noqa: S101 - filtered by it
    return due_on


@dataclass(frozen=True)
class Payable:
    """What is left of a bill on a day."""

    bill: Bill
    left: Decimal
    days_late: int


@dataclass(frozen=True)
class Payables:
    open: list[Payable]
    total: Decimal
    late: Decimal


def payables(on: date) -> Payables:
    """What I owe at the end of a day. What a supplier owes back stands among it, below zero."""
    rows = [Payable(bill, bill.left(on), bill.days_late(on)) for bill in bills()]
    rows = [row for row in rows if row.left]
    return Payables(rows, _sum(row.left for row in rows), _sum(row.left for row in rows if row.days_late))


def bill(*, delivery: int | None = None, expense: int | None = None) -> Bill | None:
    """One bill by the id of its delivery or cost; None where there is none."""
    return next((row for row in bills() if (row.delivery, row.expense) == (delivery, expense)), None)


def payments() -> QuerySet[BillPayment]:
    return BillPayment.objects.select_related("delivery__supplier", "expense", "reversed_by")


def _sum(values: Iterable[Decimal]) -> Decimal:
    return sum(values, ZERO)
