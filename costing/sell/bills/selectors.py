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
from inventory.models import CorrectedLine, Delivery, Kind, Movement, Posting
from inventory.money import ZERO

Paid = defaultdict[tuple[str, int], list[Moved]]


def bills() -> list[Bill]:
    """Of goods and of costs, the earliest due first. As many queries however many there are."""
    paid = _paid()
    return sorted([*_of_goods(paid), *_of_costs(paid)], key=lambda bill: (bill.due_on, bill.name))


@dataclass(frozen=True)
class Goods:
    """What a delivery came to on a day, or what was taken off it again, and the deducted tax beside it."""

    delivery: int
    on: date
    net: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.tax


def goods_moved(first: date = date.min, last: date = date.max) -> list[Goods]:
    """Of every delivery, by day; or only on some days."""
    found: dict[tuple[int, date], tuple[Decimal, Decimal]] = defaultdict(lambda: (ZERO, ZERO))
    for key, net, tax in [
        *((key, value, ZERO) for key, value in _values(first, last)),
        *((key, ZERO, tax) for key, tax in _taxes() if first <= key[1] <= last),
    ]:
        found[key] = (found[key][0] + net, found[key][1] + tax)
    return [Goods(*key, net, tax) for key, (net, tax) in found.items()]


def undone() -> dict[int, list[tuple[date, bool]]]:
    """By delivery: the days on which it was taken out whole (True), or put back by reversing its correction (False)."""
    found: dict[int, set[tuple[int, date, bool]]] = {}
    for pk, back, on in Delivery.objects.filter(posting__reversed_by__isnull=False).values_list(
        "pk", "posting__reversed_by", "posting__reversed_by__on"
    ):
        found.setdefault(pk, set()).add((back, on, True))
    postings = Posting.objects.in_bulk(set(CorrectedLine.objects.values_list("movement__posting", flat=True)))
    again = {row.reverses_id: row for row in Posting.objects.filter(reverses__in=postings)}
    for delivery, pk in set(CorrectedLine.objects.values_list("line__delivery", "movement__posting")):
        found.setdefault(delivery, set()).add((pk, postings[pk].on, True))
        if pk in again:
            found[delivery].add((again[pk].pk, again[pk].on, False))
    return {pk: [(on, gone) for _, on, gone in sorted(days)] for pk, days in found.items()}


def _taxes() -> Iterator[tuple[tuple[int, date], Decimal]]:
    """The deducted tax of each delivery, on the day it came and on those it was taken out or put back."""
    rows = Delivery.objects.annotate(of_lines=Sum("lines__tax")).values_list("pk", "on", "tax", "of_lines")
    taxed = {pk: (on, tax + (lines or ZERO)) for pk, on, tax, lines in rows if tax or lines}
    back = undone() if taxed else {}
    for pk, (on, tax) in taxed.items():
        yield (pk, on), tax
        for day, gone in back.get(pk, ()):
            yield (pk, day), -tax if gone else tax


def _values(first: date, last: date) -> Iterator[tuple[tuple[int, date], Decimal]]:
    corrected = dict(CorrectedLine.objects.values_list("movement__posting_id", "line__delivery_id"))
    rows = Movement.objects.filter(kind__in=(Kind.RECEIPT, Kind.CORRECTED), on__range=(first, last)).order_by(
        "posting_id"
    )
    of = ("posting__delivery", "posting__reverses__delivery", "posting_id", "posting__reverses_id")
    for own, back, posting, reverses, on, value in rows.values_list(*of, "on").annotate(Sum("value")):
        delivery = own or corrected.get(posting) or back or corrected.get(reverses or 0)
        if delivery is not None:
            yield (delivery, on), value


def _of_goods(paid: Paid) -> Iterator[Bill]:
    due = {row.pk: row for row in Delivery.objects.filter(due_on__isnull=False).select_related("supplier")}
    moved: dict[int, list[Goods]] = defaultdict(list)
    for goods in goods_moved() if due else ():
        moved[goods.delivery].append(goods)
    for pk, row in due.items():
        name = f"{row.supplier}, {row.ref}" if row.ref else str(row.supplier)
        came, tax = (tuple((row.on, getattr(row, part)) for row in moved[pk]) for part in ("gross", "tax"))
        yield Bill(name, _day(row.due_on), came, tuple(paid["delivery", pk]), delivery=pk, tax=tax)


def _of_costs(paid: Paid) -> Iterator[Bill]:
    rows = expenses.expenses().filter(due_on__isnull=False, reverses__isnull=True)
    for row in rows:
        back = getattr(row, "reversed_by", None)
        moved = [row, *([back] if back else [])]
        name = ", ".join(filter(None, (row.get_kind_display(), row.person, row.words)))
        yield Bill(
            name,
            _day(row.due_on),
            tuple((each.on, each.paid) for each in moved),
            tuple(paid["expense", row.pk]),
            row.kind,
            row.life_years is not None,
            expense=row.pk,
            tax=tuple((each.on, each.tax) for each in moved),
        )


def _paid() -> Paid:
    """What was paid on bills, by what each is for, a delivery or an expense, and its id."""
    found: Paid = defaultdict(list)
    for delivery, expense, on, amount in BillPayment.objects.values_list("delivery_id", "expense_id", "on", "amount"):
        found["delivery" if delivery else "expense", delivery or expense].append((on, amount))
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
