"""A day at a fair: what it left, per hour at the stall, what it must take to pay for itself, and what came back.

Owns the arithmetic of one fair. Must not know who bought what. Making hours are not in it: what a fair leaves is what
they are paid from.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.make.errors import NotAbove, percent
from costing.sell.errors import NeverBreaksEven, NothingTaken
from inventory.money import ZERO, Exact, ceil_to, half_up


@dataclass(frozen=True)
class FairDay:
    """Money of one fair. `goods` is what was sold there, at exact book cost; `fixed` costs come whatever is sold."""

    takings: Decimal
    goods: Exact
    pitch: Decimal = ZERO
    fuel: Decimal = ZERO
    other: Decimal = ZERO
    card_fees: Decimal = ZERO
    stall_hours: Exact = 0

    @property
    def fixed(self) -> Decimal:
        """Pitch, fuel and other costs of going there."""
        return self.pitch + self.fuel + self.other


@dataclass(frozen=True)
class FairResult:
    """What a fair left, in all and per hour at the stall (None without hours)."""

    takings: Decimal
    goods: Decimal
    costs: Decimal
    left: Decimal
    per_stall_hour: Decimal | None


def result(day: FairDay, places: int = 2) -> FairResult:
    """left = takings - goods at book - pitch - fuel - other - card fees; per stall hour = left ÷ hours. Half up, once.

    Raises NotAbove for hours below zero.

    >>> spring = FairDay(Decimal("170.00"), Decimal("20.23"), pitch=Decimal(35), fuel=Decimal(12), stall_hours=7)
    >>> result(spring).left, result(spring).per_stall_hour
    (Decimal('102.77'), Decimal('14.68'))
    """
    if day.stall_hours < 0:
        raise NotAbove("The stall hours", day.stall_hours, "enter the hours you stood there", zero_too=True)
    costs = day.fixed + day.card_fees
    left = Fraction(day.takings) - Fraction(day.goods) - Fraction(costs)
    hours = Fraction(day.stall_hours)
    return FairResult(
        takings=half_up(day.takings, places),
        goods=half_up(day.goods, places),
        costs=half_up(costs, places),
        left=half_up(left, places),
        per_stall_hour=half_up(left / hours, places) if hours else None,
    )


def break_even(fixed: Decimal, share: Fraction, places: int = 2) -> Decimal:
    """Least takings that pay for the day: fixed ÷ (1 - share of each sale that goods and fees take), rounded up.

    Raises NeverBreaksEven when the share is 1 or more. Source: fixed cost ÷ contribution margin ratio, as in OpenStax,
    Principles of Accounting, Volume 2, sec. 3.2.

    >>> break_even(Decimal(18000), Fraction(20, 100))
    Decimal('22500.00')
    """
    if share >= 1:
        raise NeverBreaksEven(
            f"Goods and fees take {percent(share)} of the takings, so no takings can pay the pitch; raise the prices.",
            field="takings",
        )
    return ceil_to(Fraction(fixed) / (1 - share), places)


def break_even_of(day: FairDay, places: int = 2) -> Decimal:
    """Least takings at the share that goods and card fees had of what this day took. Raises NothingTaken without any.

    >>> break_even_of(FairDay(Decimal("170.00"), Decimal("20.23"), pitch=Decimal(35), fuel=Decimal(12)))
    Decimal('53.35')
    """
    if day.takings <= 0:
        raise NothingTaken(
            "Nothing was taken, so no share of the takings can be calculated; give the share you expect instead.",
            field="takings",
        )
    share = (Fraction(day.goods) + Fraction(day.card_fees)) / Fraction(day.takings)
    return break_even(day.fixed, share, places)


@dataclass(frozen=True)
class CountBack:
    """What does not add up after a fair: neither sold nor back, or there without having been packed, or sold and back."""

    missing: tuple[str, ...]
    strangers: tuple[str, ...]
    twice: tuple[str, ...]

    @property
    def fits(self) -> bool:
        """Everything packed was sold or came back, once."""
        return not (self.missing or self.strangers or self.twice)


def count_back(packed: Iterable[str], sold: Iterable[str], back: Iterable[str]) -> CountBack:
    """Compare the pack list with what was sold and what came back, by article number.

    >>> count_back(["A1", "A2", "A3"], ["A1"], ["A2"]).missing
    ('A3',)
    """
    out, gone, home = set(packed), set(sold), set(back)
    return CountBack(
        missing=tuple(sorted(out - gone - home)),
        strangers=tuple(sorted((gone | home) - out)),
        twice=tuple(sorted(gone & home)),
    )
