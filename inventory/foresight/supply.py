"""What a material's stock is looked ahead with: parcels on the shelf, what is ordered, what is planned, how long an order takes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

# So many must there have been of one's own, of orders to say how long one takes, of pauses to tell a rhythm.
LEARNED_FROM = 3


@dataclass(frozen=True)
class Need:
    """A quantity, in base units, that something planned takes on a date; `why` names it. `beside`: it comes on top of usual use
    and does not stand in for any."""

    on: date
    quantity: Decimal
    why: str = ""
    beside: bool = False

    def __post_init__(self) -> None:
        if self.quantity < 0:
            raise ValueError(f"a need of {self.quantity} on {self.on} is below zero")


@dataclass(frozen=True)
class Parcel:
    """What is there of a material, in base units, and the last day it is good; None: it keeps."""

    quantity: Decimal
    best_before: date | None = None

    def good_on(self, day: date) -> bool:
        return self.best_before is None or day <= self.best_before


@dataclass(frozen=True)
class Coming:
    """What is ordered and not here yet (base units), the day it is `due`, and the order's number."""

    quantity: Decimal
    due: date
    order: str
    ordered: date


@dataclass(frozen=True)
class Lead:
    """How long an order takes: every one of `days` is as likely. `learned`: from own orders, not the stated days."""

    days: tuple[int, ...]
    learned: bool = False

    def __post_init__(self) -> None:
        if not self.days or min(self.days) < 0:
            raise ValueError(f"the days an order takes cannot be {self.days}")

    @property
    def mean(self) -> Fraction:
        return Fraction(sum(self.days), len(self.days))

    @property
    def usual(self) -> int:
        """The mean in whole days, rounded up."""
        return -(-sum(self.days) // len(self.days))


def lead(stated: int, own: tuple[int, ...]) -> Lead:
    """The stated days until three own orders have come; then the own ones.

    >>> lead(9, (7, 8)).days, lead(9, (7, 8, 12)).usual
    ((9,), 9)
    """
    return Lead(own, learned=True) if len(own) >= LEARNED_FROM else Lead((stated,))


@dataclass(frozen=True)
class Supply:
    """One material's stock and how it is bought. Quantities in base units; `pack` None: bought loose."""

    parcels: tuple[Parcel, ...]
    coming: tuple[Coming, ...] = ()
    lead: Lead = Lead((0,))
    safety_days: int = 0
    pack: Decimal | None = None
    shelf_life_days: int | None = None

    def __post_init__(self) -> None:
        if self.safety_days < 0 or any(parcel.quantity < 0 for parcel in self.parcels):
            raise ValueError(f"stock and safety days cannot be below zero: {self}")
        if self.pack is not None and self.pack <= 0:
            raise ValueError(f"a pack must hold more than {self.pack}")

    @property
    def on_hand(self) -> Decimal:
        return sum((parcel.quantity for parcel in self.parcels), Decimal(0))

    def good_on(self, day: date) -> Decimal:
        """What of it is good on a day."""
        return sum((parcel.quantity for parcel in self.parcels if parcel.good_on(day)), Decimal(0))

    @property
    def longest(self) -> int:
        """The days an order takes at most, those to spare with them."""
        return max(self.lead.days) + self.safety_days

    @property
    def on_order(self) -> Decimal:
        return sum((order.quantity for order in self.coming), Decimal(0))

    def missing(self, needs: Iterable[Need], on: date, coming: Iterable[Coming] = ()) -> list[Decimal]:
        """What each need lacks, in their order, the first to spoil used first; what comes, from its day. Past needs count `on`."""
        there = [_Lot(date.min, parcel.best_before or date.max, parcel.quantity) for parcel in self.parcels]
        there += [_Lot(order.due, date.max, order.quantity) for order in coming]
        there.sort(key=lambda lot: lot.last)
        return [_take(there, need.quantity, max(need.on, on)) for need in needs]


@dataclass
class _Lot:
    """What may be taken from the day `since` to its `last`, and what is left of it."""

    since: date
    last: date
    left: Decimal


def _take(lots: Iterable[_Lot], quantity: Decimal, day: date) -> Decimal:
    """Take so much off the lots on a day, and give what they lack."""
    for lot in lots:
        if quantity and lot.since <= day <= lot.last:
            taken = min(quantity, lot.left)
            lot.left -= taken
            quantity -= taken
    return quantity
