"""What each lacing wears off a frame: what is left of it ÷ the lacings left, to the coin, and the last one takes the rest.

Owns the order of a frame's days and the split. Must not know where money or lacings come from.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.money import ZERO, allocate


@dataclass(frozen=True)
class Put:
    """Money that went into a frame on a day, and the lacings it is good for by that: as it was made, then by each repair."""

    on: date
    money: Decimal
    lacings: int = 0


@dataclass(frozen=True)
class Laced:
    """A lacing by its key, on its day."""

    on: date
    key: int


@dataclass(frozen=True)
class Worn:
    """The wear of each lacing by its key, and what is left: money, and lacings (none below nought)."""

    wears: dict[int, Decimal]
    left: Decimal
    lacings: int

    @property
    def last(self) -> int | None:
        """The key of the last lacing; none of a frame that was never laced."""
        return next(reversed(self.wears), None)

    def next_wear(self, places: int) -> Decimal:
        """What the next lacing would wear off."""
        return wear(self.left, self.lacings, places)


def worn(puts: Iterable[Put], laced: Iterable[Laced], places: int) -> Worn:
    """Go through a frame's days: what went in on a day is there before that day's lacings.

    wear = `allocate` of what is left over the lacings left, its first part; with one lacing left, or none, all that is left. So
    wears + left = all that went in, and a frame that holds longer than was thought costs nothing more. Money to `places`.

    >>> day = date(2025, 2, 3)
    >>> found = worn([Put(day, Decimal("10.00"), 3)], [Laced(day, key) for key in range(3)], 2)
    >>> [str(wear) for wear in found.wears.values()], found.left
    (['3.33', '3.33', '3.34'], Decimal('0.00'))
    """
    events: list[Put | Laced] = sorted(
        [*puts, *laced], key=lambda each: (each.on, isinstance(each, Laced), each.key if isinstance(each, Laced) else 0)
    )
    left, lacings = ZERO, 0
    wears: dict[int, Decimal] = {}
    for event in events:
        if isinstance(event, Put):
            left, lacings = left + event.money, lacings + event.lacings
            continue
        wears[event.key] = wear(left, lacings, places)
        left, lacings = left - wears[event.key], max(lacings - 1, 0)
    return Worn(wears, left, lacings)


def wear(left: Decimal, lacings: int, places: int) -> Decimal:
    """What a lacing wears off while so much money and so many lacings are left."""
    return allocate(left, [1] * lacings, places)[0] if lacings > 1 else left
