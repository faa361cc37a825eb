"""A statement of account: what a customer was charged and what settled it, with the balance after each entry.

Owns the running sum. Must not know a database; amounts have the sign that the customer owes: a charge adds, a payment takes off.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from inventory.money import ZERO


@dataclass(frozen=True)
class Item:
    """One entry of the account. `paper` is the number of what was issued for it. Those of a day stand as they were `written`.

    `what` in English; `means` the same for a paper in another language: a key, what it is of, how it was paid.
    """

    on: date
    paper: str
    what: str
    amount: Decimal
    written: datetime
    means: tuple[str, str, str] = ("", "", "")


@dataclass(frozen=True)
class Row:
    """An entry in the columns of a statement, with what is owed after it; below zero the workshop owes."""

    on: date
    paper: str
    what: str
    charged: Decimal
    settled: Decimal
    balance: Decimal
    means: tuple[str, str, str] = ("", "", "")


@dataclass(frozen=True)
class Statement:
    """opening + charged - settled = closing."""

    first: date
    last: date
    opening: Decimal
    rows: tuple[Row, ...]
    closing: Decimal

    @property
    def charged(self) -> Decimal:
        return sum((row.charged for row in self.rows), ZERO)

    @property
    def settled(self) -> Decimal:
        return sum((row.settled for row in self.rows), ZERO)


def statement(items: Iterable[Item], first: date, last: date, brought: Decimal = ZERO) -> Statement:
    """The entries from `first` to `last` in their order, each with the balance after it. `brought` forward: what entries that are
    not among the items come to, all before `first`.

    >>> from datetime import UTC
    >>> then = datetime(2025, 1, 6, tzinfo=UTC)
    >>> paid = [Item(date(2025, 1, 5), "R-1", "Payment", Decimal(-40), then)]
    >>> paid += [Item(date(2025, 1, 2), "INV-1", "Invoice", Decimal(100), then)]
    >>> found = statement(paid, date(2025, 1, 3), date(2025, 1, 31))
    >>> found.opening, [(row.settled, row.balance) for row in found.rows], found.closing
    (Decimal('100'), [(Decimal('40'), Decimal('60'))], Decimal('60'))
    """
    known = sorted((item for item in items if item.on <= last), key=lambda item: (item.on, item.written))
    balance = opening = brought + sum((item.amount for item in known if item.on < first), ZERO)
    rows = []
    for item in known:
        if item.on >= first:
            balance += item.amount
            charged, settled = max(item.amount, ZERO), max(-item.amount, ZERO)
            rows.append(Row(item.on, item.paper, item.what, charged, settled, balance, item.means))
    return Statement(first, last, opening, tuple(rows), balance)
