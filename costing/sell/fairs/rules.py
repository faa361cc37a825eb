"""A day at a fair: what it left, per hour at the stall, what it must take to pay for itself, and what came back.

Owns the arithmetic of one fair. Must not know who bought what. Making hours are not in it: what a fair leaves is what
they are paid from.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.make.errors import NotAbove, percent
from inventory.errors import Refused
from inventory.money import ZERO, Exact, ceil_to, half_up, parts_of


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
    """What a fair left, in all and per hour at the stall (None without hours), and the least takings that would have paid it.

    `break_even` is None where nothing was taken, and where no takings would do: `never` says why.
    """

    money: FairDay
    takings: Decimal
    goods: Decimal
    costs: Decimal
    left: Decimal
    per_stall_hour: Decimal | None
    break_even: Decimal | None
    never: str = ""


def result(day: FairDay, places: int = 2) -> FairResult:
    """left = takings - goods at book - pitch - fuel - other - card fees; per stall hour = left ÷ hours. Half up, once; the
    goods are then shown so that the line adds up: takings - goods - costs = left.

    Broken even is at the share that goods and card fees had of what the day took. Raises NotAbove for hours below zero.

    >>> spring = FairDay(Decimal("170.00"), Decimal("20.23"), pitch=Decimal(35), fuel=Decimal(12), stall_hours=7)
    >>> result(spring).left, result(spring).per_stall_hour, result(spring).break_even
    (Decimal('102.77'), Decimal('14.68'), Decimal('53.35'))
    """
    if day.stall_hours < 0:
        raise NotAbove("The stall hours", day.stall_hours, "enter the hours you stood there", zero_too=True)
    costs = day.fixed + day.card_fees
    left = Fraction(day.takings) - Fraction(day.goods) - Fraction(costs)
    hours = Fraction(day.stall_hours)
    even, never = None, ""
    if day.takings > 0:
        try:
            share = (Fraction(day.goods) + Fraction(day.card_fees)) / Fraction(day.takings)
            even = break_even(day.fixed, share, places)
        except Refused as refusal:
            never = str(refusal)
    taken, spent, over = (half_up(value, places) for value in (day.takings, costs, left))
    return FairResult(
        money=day,
        takings=taken,
        goods=parts_of(taken - spent - over, [day.goods], places)[0],
        costs=spent,
        left=over,
        per_stall_hour=half_up(left / hours, places) if hours else None,
        break_even=even,
        never=never,
    )


def break_even(fixed: Decimal, share: Fraction, places: int = 2) -> Decimal:
    """Least takings that pay for the day: fixed ÷ (1 - share of each sale that goods and fees take), rounded up.

    Refused when the share is 1 or more. Source: fixed cost ÷ contribution margin ratio, as in OpenStax,
    Principles of Accounting, Volume 2, sec. 3.2.

    >>> break_even(Decimal(18000), Fraction(20, 100))
    Decimal('22500.00')
    """
    if share >= 1:
        raise Refused(
            f"Goods and fees take {percent(share)} of the takings, so no takings can pay the pitch; raise the prices.",
            field="takings",
        )
    return ceil_to(Fraction(fixed) / (1 - share), places)


def amiss(packed: Iterable[str], sold: Iterable[str], back: Iterable[str]) -> str:
    """What does not fit after a fair, by article number; nothing where all that was packed was sold or came back, once.

    >>> amiss(["A1", "A2"], ["A1"], ["A1", "A2"])
    'A1 is sold and ticked as back; it cannot be both.'
    """
    out, gone, home = set(packed), set(sold), set(back)
    missing = "went to the fair and is neither sold nor back: enter its sale, tick it, or write it off as spoiled."
    found = (
        (out - gone - home, missing),
        (home - out, "is ticked as back but was not packed."),
        (gone & home, "is sold and ticked as back; it cannot be both."),
    )
    return " ".join(f"{', '.join(sorted(numbers))} {words}" for numbers, words in found if numbers)
