"""How often skins are lost, and what that means for the next purchase or the next hour.

Owns loss rates, a loss written off or reallocated, the most to pay for a raw skin, and stop-or-go. Must not know a database,
and decides nothing. A usual loss may be reallocated to the good units, an unusual one is written off (cost accounting's normal
and abnormal spoilage; IAS 2 par. 16 keeps abnormal waste out of cost); which one it was is the maker's to say.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from costing.make.errors import NotAbove
from costing.make.labour import rules as labour
from inventory.errors import Refused
from inventory.money import Exact, half_up

FEW = 10  # below so many skins a rate says little; common practice, no source


@dataclass(frozen=True)
class Fate:
    """What became of one skin: the stages it entered, in order, and the one it was lost at, if any. `count`: of so many alike,
    of which `skin` is the first."""

    skin: str
    stages: tuple[str, ...]
    lost_at: str = ""
    species: str = ""
    supplier: str = ""
    count: int = 1

    def __post_init__(self) -> None:
        if self.lost_at and self.lost_at not in self.stages:
            raise ValueError(f"{self.skin} was lost at {self.lost_at}, a stage it never entered")


@dataclass(frozen=True)
class LossRate:
    """`lost` skins of `of`; `few` when there are too few to trust the rate."""

    lost: int
    of: int

    @property
    def rate(self) -> Fraction:
        """The part that was lost, 0 to 1.

        >>> LossRate(1, 3).rate
        Fraction(1, 3)
        """
        return Fraction(self.lost, self.of)

    @property
    def few(self) -> bool:
        """Too few skins for the rate to say much."""
        return self.of < FEW


def by_stage(fates: Iterable[Fate]) -> dict[str, LossRate]:
    """Of the skins that entered each stage, how many were lost at it; stages in the order in which they first appear.

    >>> by_stage([Fate("H04", ("salt", "paste")), Fate("H05", ("salt",), "salt")])["salt"]
    LossRate(lost=1, of=2)
    """
    entered: dict[str, int] = {}
    lost: dict[str, int] = {}
    for fate in fates:
        for stage in dict.fromkeys(fate.stages):
            entered[stage] = entered.get(stage, 0) + fate.count
            lost[stage] = lost.get(stage, 0) + (fate.count if stage == fate.lost_at else 0)
    return {stage: LossRate(lost[stage], count) for stage, count in entered.items()}


def by_trait(fates: Iterable[Fate], trait: Literal["species", "supplier"]) -> dict[str, LossRate]:
    """Of the skins of each species or supplier, how many were lost at any stage; those of none stand under ""."""
    lost: dict[str, int] = {}
    whole: dict[str, int] = {}
    for fate in fates:
        key = getattr(fate, trait)
        whole[key] = whole.get(key, 0) + fate.count
        lost[key] = lost.get(key, 0) + (fate.count if fate.lost_at else 0)
    return {key: LossRate(lost[key], count) for key, count in sorted(whole.items())}


@dataclass(frozen=True)
class Spread:
    """What one survivor would bear more, half up from its exact share."""

    book: Decimal
    full: Decimal


@dataclass(frozen=True)
class Loss:
    """A lost skin's cost less its salvage, written off whole or spread: both results side by side.

    `each` is empty when nothing survived, so that there is nothing to spread on.
    """

    book: Decimal
    full: Decimal
    each: dict[str, Spread]


def reallocate(book: Exact, full: Exact, salvage: Exact, survivors: Mapping[str, Exact], places: int = 2) -> Loss:
    """A loss written off and spread: loss = cost - salvage, a survivor's share = loss × weight ÷ weights.

    `book` and `full` are the skin's exact costs when it was lost, `salvage` what it still brought; weights are 1 by head,
    grams or cm². More salvage than cost gives a loss below zero. Raises NotAbove for salvage below zero or a weight
    that is not above it.

    >>> lost = reallocate(Fraction(11047, 300), Fraction("85.49"), Decimal("10.00"), {"H04": 1, "H06": 1})
    >>> lost.book, lost.full, lost.each["H04"]
    (Decimal('26.82'), Decimal('75.49'), Spread(book=Decimal('13.41'), full=Decimal('37.75')))
    """
    if salvage < 0:
        raise NotAbove("The salvage", salvage, "enter what it still brought, or 0", field="salvage", zero_too=True)
    for skin, weight in survivors.items():
        if weight <= 0:
            raise NotAbove(f"The sharing weight of {skin}", weight, "enter its weight or area")
    book_loss, full_loss = Fraction(book) - Fraction(salvage), Fraction(full) - Fraction(salvage)
    weights = sum((Fraction(weight) for weight in survivors.values()), Fraction(0))
    each = {
        skin: Spread(
            half_up(book_loss * Fraction(weight) / weights, places),
            half_up(full_loss * Fraction(weight) / weights, places),
        )
        for skin, weight in survivors.items()
    }
    return Loss(half_up(book_loss, places), half_up(full_loss, places), each)


def chance(rate: Exact) -> Fraction:
    """A part that is lost as a chance, 0 to 1; refused outside of that."""
    if not 0 <= rate <= 1:
        raise Refused(
            f"A loss rate of {rate} cannot be; enter the part that is lost, from 0 for none to 1 for all.",
            field="loss_rate",
        )
    return Fraction(rate)


@dataclass(frozen=True)
class Leg:
    """What one part of the way costs a skin: money (materials, frame wear) and hours."""

    money: Exact = 0
    hours: Exact = 0

    def at(self, hourly: Decimal) -> Fraction:
        """Money + hours × hourly."""
        return Fraction(self.money) + Fraction(self.hours) * Fraction(hourly)


def most_to_pay(
    net: Exact, before: Leg, after: Leg, hourly: Decimal, loss_rate: Exact, salvage: Exact = 0, places: int = 2
) -> Decimal:
    """Most to pay for a raw skin so that it breaks even on average; below zero means not even as a gift.

    (1 - p) × (net - cost after the loss point) + p × salvage - cost before it, half up. `net` is what a sale leaves after
    its fees, `hourly` the money an hour has to earn (wage and overhead), p the part that is lost.
    Refused for a rate outside 0 to 1.

    >>> before, after = Leg(Fraction("1.82"), Fraction("2.43")), Leg(Fraction("9.40"), Fraction("6.88"))
    >>> most_to_pay(Decimal("235.44"), before, after, Decimal(20), Fraction(1, 10))
    Decimal('29.18')
    """
    lost = chance(loss_rate)
    kept = (1 - lost) * (Fraction(net) - after.at(hourly))
    return half_up(kept + lost * Fraction(salvage) - before.at(hourly), places)


def stop_or_go(
    now: Exact, finished: Exact, ahead: Leg, wage: Decimal, loss_rate: Exact = 0, salvage: Exact = 0, places: int = 2
) -> labour.Ahead:
    """Whether to go on with a half-done skin: what it is expected to be worth finished, against what it is worth now.

    `now` and `finished` are what a sale leaves; `ahead` is only what is still to come. What was spent so far is no
    argument of this function, because it is gone whatever is done. Expected = (1 - p) × finished + p × salvage - money to
    come; then `still_pays` of labour. NotAbove for hours below zero; refused for a rate outside 0 to 1.

    >>> stop_or_go(Decimal(10), Decimal(170), Leg(Decimal("3.00"), 4), Decimal(16), Fraction(1, 10), Decimal(10))
    Ahead(pays=True, gain=Decimal('141.00'), per_hour=Decimal('35.25'))
    """
    lost = chance(loss_rate)
    expected = (1 - lost) * Fraction(finished) + lost * Fraction(salvage) - Fraction(ahead.money)
    return labour.still_pays(now, expected, ahead.hours, wage, places)
