"""Whether more hours on a skin in work still pay.

Owns the arithmetic of hours against money for skins not yet sold. Must not know where prices and minutes come from, and
decides nothing: it says what the figures say. Prices are what a sale leaves after its fees
(`left_after_selling` of pricing), so that nothing is counted twice.

Two rules stand beside each other, because they answer two questions:
- `still_pays` looks only ahead. Hours already spent are gone whatever is done, so the money that the hours to come add
  is set against the wage they cost. It is the right rule for "go on with this skin or stop".
- `pays_until` looks at the whole piece: from how many minutes on the price, less what was paid out, earns less than the
  wage for every hour in it. It is the warning light: past it the piece no longer pays its wage, and each further
  sitting lowers the hourly earning unless it raises the price.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from statistics import median

from costing.make.errors import NotAbove
from inventory.money import Exact, half_up
from inventory.units import MINUTES_PER_HOUR


@dataclass(frozen=True)
class Usual:
    """Minutes a skin took in the maker's own log: the middle one, the least, the most, and of how many skins."""

    median: Fraction
    low: Fraction
    high: Fraction
    count: int


@dataclass(frozen=True)
class Ahead:
    """What going on brings: `gain` in money, `per_hour` of the hours to come (None without any), and whether it pays."""

    pays: bool
    gain: Decimal
    per_hour: Decimal | None


@dataclass(frozen=True)
class Earned:
    """What an hour of the piece earns now, and after another sitting."""

    now: Decimal | None
    after: Decimal


def usual(values: Sequence[Fraction | int]) -> Usual | None:
    """Median and range of minutes a skin took; None while nothing is logged. The middle two are halved.

    >>> usual([Fraction(205), Fraction(190), Fraction(265)])
    Usual(median=Fraction(205, 1), low=Fraction(190, 1), high=Fraction(265, 1), count=3)
    """
    if not values:
        return None
    exact = [Fraction(value) for value in values]
    return Usual(median(exact), min(exact), max(exact), len(exact))


def still_pays(
    price_left_now: Exact, price_if_finished: Exact, hours_to_come: Exact, wage: Decimal, places: int = 2
) -> Ahead:
    """Whether the hours to come earn their wage: (if finished - as it is) ÷ hours ≥ wage. Hours spent are left out.

    Both prices are what the sale leaves; further materials come off the second. Without hours to come any gain pays.
    `NotAbove` for hours below zero.

    >>> still_pays(Decimal(10), Decimal(170), Decimal(4), Decimal(16))
    Ahead(pays=True, gain=Decimal('160.00'), per_hour=Decimal('40.00'))
    >>> still_pays(Decimal(150), Decimal(170), Decimal(2), Decimal(16)).pays
    False
    """
    if hours_to_come < 0:
        raise NotAbove("The hours to come", hours_to_come, "enter how long it will still take", zero_too=True)
    gain = Fraction(price_if_finished) - Fraction(price_left_now)
    hours = Fraction(hours_to_come)
    pays = gain >= hours * Fraction(wage) if hours else gain > 0
    return Ahead(pays, half_up(gain, places), half_up(gain / hours, places) if hours else None)


def earned(price: Exact, book: Exact, minutes_so_far: Exact, sitting_minutes: Exact, places: int = 2) -> Earned:
    """Earned an hour if sold now, and after one more sitting: (price - book) ÷ hours, each half up.

    `price` is what the sale leaves. `now` is None before the first minute. `NotAbove` unless the sitting has minutes.

    >>> earned(Decimal(150), Decimal("20.23"), 480, 20)
    Earned(now=Decimal('16.22'), after=Decimal('15.57'))
    """
    if sitting_minutes <= 0:
        raise NotAbove("A session", sitting_minutes, "enter its minutes", field="minutes")
    left, so_far = (Fraction(price) - Fraction(book)) * MINUTES_PER_HOUR, Fraction(minutes_so_far)
    now = half_up(left / so_far, places) if so_far else None
    return Earned(now, half_up(left / (so_far + Fraction(sitting_minutes)), places))


def pays_until(price_net: Exact, book: Exact, wage: Decimal) -> int:
    """Whole minutes up to which a piece pays its wage: (price - book) ÷ wage × 60, rounded down, never below zero.

    `price_net` is what the sale leaves. `NotAbove` unless the wage is above zero.

    >>> pays_until(Decimal(185), Decimal("20.23"), Decimal(16))
    617
    """
    if wage <= 0:
        raise NotAbove("The wage", wage, "set the wage you want for an hour", field="wage")
    return max(0, int((Fraction(price_net) - Fraction(book)) * MINUTES_PER_HOUR / Fraction(wage) // 1))
