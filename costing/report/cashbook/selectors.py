"""Everything that moved money, gathered from the entries themselves, by account.

Not in it: barter, what a payer kept back (it never came), a distance at a rate, equipment's share of a year, what is due and
not paid, and what the old books had taken in or paid before these began.
"""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet, Sum

from costing.make.labour.models import LabourLine
from costing.report.cashbook.rules import Entry, Opening
from costing.sell.accounts import selectors as accounts
from costing.sell.accounts.models import Transfer
from costing.sell.bills import selectors as bills
from costing.sell.bills.models import BillPayment
from costing.sell.expenses import selectors as expenses
from costing.sell.expenses.models import Expense
from costing.sell.payments import selectors as payments
from costing.sell.payments.models import Payment
from inventory.base.models import How
from inventory.models import Delivery, Skin
from inventory.money import ZERO

# Which of each kind moved money.
_RECEIVED = Q(opening=False)
_SPENT = Q(withheld=False, due_on__isnull=True, distance__isnull=True)
_BOUGHT = Q(price__gt=0, opening=False)
_HELPED = ~Q(paid=0)
Span = tuple[date, date]


def entries(within: Span = (date.min, date.max)) -> list[Entry]:
    """All of them by day, or those of some days. The number of queries does not grow with them."""
    found = [
        *_received(within),
        *_spent(within),
        *_goods(within),
        *_skins(within),
        *_help(within),
        *_bills(within),
        *_transfers(within),
    ]
    return sorted((row for row in found if row.account != How.BARTER), key=lambda row: row.on)


def balances(on: date) -> dict[str, Decimal]:
    """What each account holds at the end of a day, of those that anything ever moved in or that were opened: from sums of what
    moved, never from its entries. It is what `rules.balance` tells of all entries."""
    begun = openings()
    eves = {account: opening.on - timedelta(days=1) for account, opening in begun.items()}
    summed = _summed(sorted({on, *eves.values()}))
    found = {}
    for account in {*summed, *begun} - {How.BARTER}:
        sums = summed.get(account, {})
        found[account] = sums.get(on, ZERO)
        if account in begun:
            found[account] += begun[account].amount - sums.get(eves[account], ZERO)
    return found


def openings() -> dict[str, Opening]:
    return {account: Opening(row.on, row.amount) for account, row in accounts.openings().items()}


def _summed(days: list[date]) -> dict[str, dict[date, Decimal]]:
    """By account, of those that anything moved in: what moved up to the end of each of the days."""
    found: dict[str, dict[date, Decimal]] = {}

    def add(account: str, day: date, amount: Decimal) -> None:
        of = found.setdefault(account, dict.fromkeys(days, ZERO))
        of[day] += amount

    transfers = Transfer.objects.all()
    for rows, account, moved, day, sign in (
        (Payment.objects.filter(_RECEIVED), "how", ("amount",), "on", 1),
        (Expense.objects.filter(_SPENT), "how", ("amount", "tax"), "on", -1),
        (Skin.objects.filter(_BOUGHT), "how", ("price", "tax"), "date_in", -1),
        (LabourLine.objects.filter(_HELPED), "how", ("paid",), "on", -1),
        (BillPayment.objects.all(), "how", ("amount",), "on", -1),
        (transfers.exclude(source=""), "source", ("amount",), "on", -1),
        (transfers.exclude(target=""), "target", ("amount",), "on", 1),
    ):
        for name, sums in _by_account(rows, account, moved, day, days):
            for until, amount in sums:
                add(name, until, sign * amount)
    how = dict(_paid_at_once().values_list("pk", "how"))
    for goods in bills.goods_moved():
        if goods.delivery in how and goods.gross:
            for until in days:
                add(how[goods.delivery], until, -goods.gross if goods.on <= until else ZERO)
    return found


def _by_account(
    rows: QuerySet[Any], account: str, moved: tuple[str, ...], day: str, days: list[date]
) -> Iterator[tuple[str, list[tuple[date, Decimal]]]]:
    sums = {
        f"{column}_{at}": Sum(column, filter=Q(**{f"{day}__lte": until}))
        for at, until in enumerate(days)
        for column in moved
    }
    for row in rows.order_by().values(account).annotate(**sums):
        yield (
            row[account],
            [(until, row[f"{column}_{at}"] or ZERO) for at, until in enumerate(days) for column in moved],
        )


def _received(within: Span) -> Iterator[Entry]:
    for row in payments.payments().filter(_RECEIVED, on__range=within):
        yield Entry(row.on, row.how, row.amount, f"{row.number}, {row.sale or row.job}")


def _spent(within: Span) -> Iterator[Entry]:
    for row in expenses.expenses().filter(_SPENT, on__range=within):
        words = ", ".join(filter(None, (row.get_kind_display(), row.person, row.words)))
        yield Entry(row.on, row.how, -row.paid, words)


def _paid_at_once() -> QuerySet[Delivery]:
    return Delivery.objects.filter(due_on__isnull=True)


def _goods(within: Span) -> Iterator[Entry]:
    moved = [goods for goods in bills.goods_moved(*within) if goods.gross]
    paid = _paid_at_once().select_related("supplier").in_bulk({goods.delivery for goods in moved})
    for goods in moved:
        if row := paid.get(goods.delivery):
            yield Entry(goods.on, row.how, -goods.gross, f"Goods, {row.supplier}{f', {row.ref}' if row.ref else ''}")


def _skins(within: Span) -> Iterator[Entry]:
    for row in Skin.objects.filter(_BOUGHT, date_in__range=within):
        yield Entry(row.date_in, row.how, -(row.price + row.tax), f"Skin {row.tag}")


def _help(within: Span) -> Iterator[Entry]:
    for row in LabourLine.objects.filter(_HELPED, on__range=within):
        yield Entry(row.on, row.how, -row.paid, f"Help, {row.who}" if row.who else "Help")


def _bills(within: Span) -> Iterator[Entry]:
    for row in bills.payments().filter(on__range=within):
        of = row.delivery.supplier if row.delivery else row.expense and row.expense.get_kind_display()
        yield Entry(row.on, row.how, -row.amount, f"Bill paid, {of}")


def _transfers(within: Span) -> Iterator[Entry]:
    for row in accounts.transfers().filter(on__range=within):
        words = row.words or "Transfer"
        if row.source:
            yield Entry(row.on, row.source, -row.amount, words)
        if row.target:
            yield Entry(row.on, row.target, row.amount, words)
