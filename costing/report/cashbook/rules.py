"""The cash book: what moved in each account, month by month, between its opening and its closing balance.

Owns balances and sums. Must not know where an entry comes from.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from inventory.money import ZERO

MONTHS = 12


@dataclass(frozen=True)
class Entry:
    """Money that moved in an account on a day: above zero it came in. An empty account: nobody said which."""

    on: date
    account: str
    amount: Decimal
    what: str


@dataclass(frozen=True)
class Opening:
    """What was in an account before the first entry of a day."""

    on: date
    amount: Decimal


@dataclass(frozen=True)
class Period:
    """closing = opening + money_in - money_out."""

    account: str
    first: date
    opening: Decimal
    money_in: Decimal
    money_out: Decimal
    closing: Decimal


def balance(entries: Iterable[Entry], opening: Opening | None, on: date) -> Decimal:
    """What is in one account at the end of a day: opening balance + what moved since; before its day, less what moved until.

    Without an opening balance the account began empty.

    >>> moved = [Entry(date(2025, 1, 5), "cash", Decimal(10), ""), Entry(date(2025, 2, 1), "cash", Decimal(-4), "")]
    >>> balance(moved, Opening(date(2025, 1, 10), Decimal(50)), date(2025, 2, 1))
    Decimal('46')
    >>> balance(moved, Opening(date(2025, 1, 10), Decimal(50)), date(2025, 1, 4))
    Decimal('40')
    """
    if opening is None:
        return sum((row.amount for row in entries if row.on <= on), ZERO)
    since = opening.on
    later = sum((row.amount for row in entries if since <= row.on <= on), ZERO)
    return opening.amount + later - sum((row.amount for row in entries if on < row.on < since), ZERO)


def months(account: str, entries: Sequence[Entry], opening: Opening | None, year: int) -> list[Period]:
    """The twelve months of one account's year."""
    found = []
    for month in range(1, MONTHS + 1):
        first = date(year, month, 1)
        last = (first + timedelta(days=31)).replace(day=1) - timedelta(days=1) if month < MONTHS else date(year, 12, 31)
        found.append(_period(account, entries, opening, first, last))
    return found


def _period(account: str, entries: Sequence[Entry], opening: Opening | None, first: date, last: date) -> Period:
    mine = [row.amount for row in entries if first <= row.on <= last]
    return Period(
        account=account,
        first=first,
        opening=balance(entries, opening, first - timedelta(days=1)),
        money_in=sum((each for each in mine if each > 0), ZERO),
        money_out=-sum((each for each in mine if each < 0), ZERO),
        closing=balance(entries, opening, last),
    )
