"""What is owed to others: bills by what they came to, what was paid on them, and since when something is left.

Owns the arithmetic of one bill over days. Must not know a database.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inventory.money import ZERO, half_up

Moved = tuple[date, Decimal]


def _within(moved: Iterable[Moved], first: date, last: date) -> Decimal:
    return sum((amount for on, amount in moved if first <= on <= last), ZERO)


@dataclass(frozen=True)
class Bill:
    """`incurred` is what it came to and what was taken off it since, `paid` what was paid, each on its day.

    `tax` is what of it is deducted. `delivery` or `expense` is its id. `kind` is the code of the cost, empty of goods; `life` says
    that it is equipment.
    """

    name: str
    due_on: date
    incurred: tuple[Moved, ...]
    paid: tuple[Moved, ...]
    kind: str = ""
    life: bool = False
    delivery: int | None = None
    expense: int | None = None
    tax: tuple[Moved, ...] = ()

    @property
    def address(self) -> str:
        """How an address names it."""
        return f"delivery={self.delivery}" if self.delivery is not None else f"expense={self.expense}"

    @property
    def on(self) -> date:
        """The day it was incurred."""
        return min(day for day, _ in self.incurred)

    def total(self, on: date) -> Decimal:
        """What it comes to at the end of a day."""
        return _within(self.incurred, date.min, on)

    def left(self, on: date) -> Decimal:
        """incurred - paid, at the end of a day; below zero the other side owes it back.

        >>> bill = Bill("alum", date(2025, 4, 1), ((date(2025, 3, 1), Decimal(90)),), ((date(2025, 4, 3), Decimal(40)),))
        >>> bill.left(date(2025, 3, 31)), bill.left(date(2025, 4, 3))
        (Decimal('90'), Decimal('50'))
        """
        return self.total(on) - _within(self.paid, date.min, on)

    def net(self, on: date) -> Decimal:
        """What it comes to without the tax that is deducted, at the end of a day."""
        return self.total(on) - _within(self.tax, date.min, on)

    def paid_net(self, on: date, places: int) -> Decimal:
        """Of what was paid until a day, the part that is no deducted tax: paid x net / total, rounded once.

        >>> bill = Bill("alum", date(2025, 4, 1), ((date(2025, 3, 1), Decimal("12.55")),), ((date(2025, 4, 3), Decimal("12.55")),),
        ...     tax=((date(2025, 3, 1), Decimal("2.55")),))
        >>> bill.paid_net(date(2025, 4, 3), 2)
        Decimal('10.00')
        """
        paid, total = _within(self.paid, date.min, on), self.total(on)
        return half_up(Fraction(paid) * Fraction(self.net(on)) / Fraction(total), places) if total else paid

    def left_net(self, on: date, places: int) -> Decimal:
        """As `left`, without the tax that is deducted."""
        return self.net(on) - self.paid_net(on, places)

    def days_late(self, on: date) -> int:
        """Days after it was due while something is left."""
        return max(0, (on - self.due_on).days) if self.left(on) > 0 else 0
