"""What a draw takes from a shelf, on whole thousandths: the form of `inventory.ledger.costflow` that the pen reckons with.

The rule is there, in decimals and fractions that anybody can read; this says the same of integers, many times faster, and a
property test holds the two together. Nothing here refuses: the ledger asks first what is short, then what does not fit.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from inventory.ledger.months.rules import Steps
from inventory.money import to_steps

PLACES = 3


@dataclass(slots=True)
class Left:
    """What is left of one arrival (its lot's key)."""

    lot: int
    quantity: int
    value: int


class Part(NamedTuple):
    """What one lot bears of a line, signed as it changes the lot, and what that leaves in it."""

    lot: int
    quantity: int
    value: int
    left: Steps


@dataclass(frozen=True, slots=True)
class Line:
    """One movement: signed quantity and value, what it leaves on the shelf, what the month begins with if nothing of it is later
    (`before`), and either each lot's part or the lot that it becomes."""

    material: int
    quantity: int
    value: int
    left: Steps
    typed: str
    before: Steps | None = None
    parts: Sequence[Part] = ()
    lot_value: int | None = None
    expires: date | None = None


@dataclass(slots=True)
class Shelf:
    """One material while a posting is written: what is there now, what each day from that of the posting on ended with (the
    first first, now last) and its open lots, oldest first."""

    held: int
    worth: int
    days: list[Steps] = field(default_factory=list)
    lots: list[Left] = field(default_factory=list)
    unit: str = ""
    shelf_life: int | None = None

    @property
    def late(self) -> bool:
        """Whether it moved on a later day."""
        return len(self.days) > 1

    @property
    def least(self) -> int:
        """What can be taken without any day falling below nothing."""
        return min(quantity for quantity, _ in self.days)

    def move(self, quantity: int, value: int, parts: Sequence[Part] = ()) -> Steps:
        """What changes it now changes every day from the posting's on; `parts` are of its first lots. Answers what is there."""
        self.held += quantity
        self.worth += value
        self.days = [(held + quantity, worth + value) for held, worth in self.days]
        for lot, part in zip(self.lots, parts, strict=False):
            lot.quantity, lot.value = part.left
        if parts:
            self.lots = [lot for lot in self.lots if lot.quantity]
        return self.held, self.worth


def steps(value: Decimal) -> int:
    """Thousandths, as the columns hold them."""
    return to_steps(value, PLACES)


def days_before(now: Steps, moved: Sequence[Steps]) -> list[Steps]:
    """The balances that led to `now`, the earliest first; `moved` is what each later day brought, the latest first.

    >>> days_before((2000, 8000), [(-1000, -4000)])
    [(3000, 12000), (2000, 8000)]
    """
    found = [now]
    for quantity, value in moved:
        held, worth = found[-1]
        found.append((held - quantity, worth - value))
    return found[::-1]


def from_lots(lots: Sequence[Left], quantity: int, coin: int) -> list[Part]:
    """What each lot gives, oldest first, and has left: its share of value, half up to the `coin`; all of it where it empties.

    The lots are left as they stand. `ValueError`: more than they hold together.

    >>> [part.value for part in from_lots([Left(1, 2000, 5000), Left(2, 4000, 9000)], 3000, 10)]
    [-5000, -2250]
    """
    parts = []
    wanted = quantity
    for lot in lots:
        if not wanted:
            break
        drawn = min(wanted, lot.quantity)
        value = _share(lot.value, drawn, lot.quantity, coin)
        parts.append(Part(lot.lot, -drawn, -value, (lot.quantity - drawn, lot.value - value)))
        wanted -= drawn
    if wanted:
        raise ValueError(
            f"{quantity} wanted, {wanted} more than the lots hold: the ledger must refuse this before costing it"
        )
    return parts


def average(days: Sequence[Steps], quantity: int, coin: int) -> int:
    """By the average of its own day, no more than any later day is worth, and all that a day is worth if it is emptied.

    >>> average([(1000, 4000), (2000, 13000)], 1000, 10)
    4000
    """
    held, worth = days[0]
    emptied = [value for there, value in days if there == quantity]
    own = min(emptied) if emptied else _share(worth, quantity, held, coin)
    return min(own, *(value for _, value in days))


def fits(days: Sequence[Steps], quantity: int, value: int) -> bool:
    """Whether a draw leaves no day with less than nothing, and no value on a day that it empties."""
    return all(quantity <= held and value <= worth and (quantity < held or value == worth) for held, worth in days)


def _share(value: int, quantity: int, whole: int, coin: int) -> int:
    """value × quantity ÷ whole, half up to the coin (in thousandths)."""
    if quantity == whole:
        return value
    under = whole * coin
    return (2 * value * quantity + under) // (2 * under) * coin
