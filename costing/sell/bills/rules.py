"""What is owed to others: bills by what they came to, what was paid on them, and since when something is left.

Owns the arithmetic of one bill over days. Must not know a database.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.money import ZERO

Moved = tuple[date, Decimal]


def _within(moved: Iterable[Moved], first: date, last: date) -> Decimal:
    return sum((amount for on, amount in moved if first <= on <= last), ZERO)


@dataclass(frozen=True)
class Bill:
    """`incurred` is what it came to and what was taken off it since, `paid` what was paid, each on its day.

    `delivery` or `expense` is its id. `kind` is the code of the cost, empty of goods; `life` says that it is equipment.
    """

    name: str
    due_on: date
    incurred: tuple[Moved, ...]
    paid: tuple[Moved, ...]
    kind: str = ""
    life: bool = False
    delivery: int | None = None
    expense: int | None = None

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

    def incurred_within(self, first: date, last: date) -> Decimal:
        return _within(self.incurred, first, last)

    def paid_within(self, first: date, last: date) -> Decimal:
        return _within(self.paid, first, last)

    def days_late(self, on: date) -> int:
        """Days after it was due while something is left."""
        return max(0, (on - self.due_on).days) if self.left(on) > 0 else 0
