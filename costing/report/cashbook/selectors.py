"""Everything that moved money, gathered from the entries themselves, by account.

Not in it: barter, what a payer kept back (it never came), a distance at a rate, equipment's share of a year, what is due and
not paid, and what the old books had taken in or paid before these began.
"""

from collections.abc import Iterator

from costing.make.labour.models import LabourLine
from costing.report.cashbook.rules import Entry, Opening
from costing.sell.accounts import selectors as accounts
from costing.sell.bills import selectors as bills
from costing.sell.expenses import selectors as expenses
from costing.sell.payments import selectors as payments
from inventory.base.models import How
from inventory.models import Delivery, Skin


def entries() -> list[Entry]:
    """All of them by day. The number of queries does not grow with them."""
    found = [*_received(), *_spent(), *_goods(), *_skins(), *_help(), *_bills(), *_transfers()]
    return sorted((row for row in found if row.account != How.BARTER), key=lambda row: row.on)


def openings() -> dict[str, Opening]:
    return {account: Opening(row.on, row.amount) for account, row in accounts.openings().items()}


def _received() -> Iterator[Entry]:
    for row in payments.payments().filter(opening=False):
        yield Entry(row.on, row.how, row.amount, f"{row.number}, {row.sale or row.job}")


def _spent() -> Iterator[Entry]:
    for row in expenses.expenses():
        if row.pays:
            words = ", ".join(filter(None, (row.get_kind_display(), row.person, row.words)))
            yield Entry(row.on, row.how, -row.paid, words)


def _goods() -> Iterator[Entry]:
    paid = {row.pk: row for row in Delivery.objects.filter(due_on__isnull=True).select_related("supplier")}
    for goods in bills.goods_moved():
        if (row := paid.get(goods.delivery)) and goods.gross:
            yield Entry(goods.on, row.how, -goods.gross, f"Goods, {row.supplier}{f', {row.ref}' if row.ref else ''}")


def _skins() -> Iterator[Entry]:
    for row in Skin.objects.filter(price__gt=0, opening=False):
        yield Entry(row.date_in, row.how, -(row.price + row.tax), f"Skin {row.tag}")


def _help() -> Iterator[Entry]:
    for row in LabourLine.objects.exclude(paid=0):
        yield Entry(row.on, row.how, -row.paid, f"Help, {row.who}" if row.who else "Help")


def _bills() -> Iterator[Entry]:
    for row in bills.payments():
        of = row.delivery.supplier if row.delivery else row.expense and row.expense.get_kind_display()
        yield Entry(row.on, row.how, -row.amount, f"Bill paid, {of}")


def _transfers() -> Iterator[Entry]:
    for row in accounts.transfers():
        words = row.words or "Transfer"
        if row.source:
            yield Entry(row.on, row.source, -row.amount, words)
        if row.target:
            yield Entry(row.on, row.target, row.amount, words)
