"""What an hour at a skin earns, and whether more hours on it still pay.

Must not know where prices and minutes come from, and decides nothing. Prices are what a sale leaves after its fees
(`costing.sell.pricing.rules.meaning`), so that nothing is counted twice. Two rules answer two questions:
- `still_pays` looks only ahead, for hours already spent are gone whatever is done: go on with this skin, or stop?
- `pays_until` looks at the whole piece: from how many minutes on the price, less what was paid out, earns less than the
  wage for every hour in it. Past that each further session lowers the hourly earning unless it raises the price.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from statistics import median

from costing.make.errors import NotAbove, plain
from inventory import formats
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
    """What an hour of the piece earns now, and after another session."""

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


def looks_unlogged(minutes: Exact, least: Exact, part: Fraction = Fraction(1, 2)) -> bool:
    """Whether a piece has so few minutes that some were likely never written: fewer than `part` of the least that one of its kind
    took. Half is common practice, no source.

    >>> looks_unlogged(60, 480), looks_unlogged(240, 480)
    (True, False)
    """
    return Fraction(minutes) < part * Fraction(least)


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


def earned(price: Exact, book: Exact, minutes_so_far: Exact, session_minutes: Exact, places: int = 2) -> Earned:
    """Earned an hour if sold now, and after one more session: (price - book) ÷ hours, each half up.

    `price` is what the sale leaves. `now` is None before the first minute. `NotAbove` unless the session has minutes.

    >>> earned(Decimal(150), Decimal("20.23"), 480, 20)
    Earned(now=Decimal('16.22'), after=Decimal('15.57'))
    """
    if session_minutes <= 0:
        raise NotAbove("A session", session_minutes, "enter its minutes", field="minutes")
    left, so_far = (Fraction(price) - Fraction(book)) * MINUTES_PER_HOUR, Fraction(minutes_so_far)
    now = half_up(left / so_far, places) if so_far else None
    return Earned(now, half_up(left / (so_far + Fraction(session_minutes)), places))


def pays_until(price_net: Exact, book: Exact, wage: Decimal) -> int:
    """Whole minutes up to which a piece pays its wage: (price - book) ÷ wage × 60, rounded down, never below zero.

    `price_net` is what the sale leaves. `NotAbove` unless the wage is above zero.

    >>> pays_until(Decimal(185), Decimal("20.23"), Decimal(16))
    617
    """
    if wage <= 0:
        raise NotAbove("The wage", wage, "set the wage you want for an hour", field="wage")
    return max(0, int((Fraction(price_net) - Fraction(book)) * MINUTES_PER_HOUR / Fraction(wage) // 1))


# Hands seldom do more than this at one thing on end. Common practice, no source.
LONG_MINUTES = 6 * MINUTES_PER_HOUR
DAY_MINUTES = 24 * MINUTES_PER_HOUR


def odd_minutes(minutes: Decimal, logged: Sequence[Decimal], planned: int = 0, ran: bool = False) -> str | None:
    """What to ask of minutes in one entry, beside those logged before; None for ordinary ones.

    Ordinary are those up to six hours, up to twice what was `planned`, and what was logged three times before. More than a
    day has are refused, not asked about. `ran`: a timer's.

    >>> odd_minutes(Decimal(450), [Decimal(20), Decimal(45), Decimal(90)])
    '450 min (7 h 30 min) is entered in one go; what was logged so far took mostly about 45 min.'
    >>> odd_minutes(Decimal(662), [], ran=True)
    'The timer ran 662 min (11 h 02 min) on end; more than 6 h at one thing is rare.'
    >>> odd_minutes(Decimal(450), [], planned=300), odd_minutes(Decimal(360), [])
    (None, None)
    """
    if not max(LONG_MINUTES, 2 * planned) < minutes <= DAY_MINUTES or sum(each >= minutes for each in logged) >= 3:
        return None
    hours, rest = divmod(int(minutes), MINUTES_PER_HOUR)
    long = f"{plain(minutes)} min ({hours} h {rest:02d} min)"
    entered = f"The timer ran {long} on end" if ran else f"{long} is entered in one go"
    if logged:
        return f"{entered}; what was logged so far took mostly about {formats.figure(half_up(median(logged), 0))} min."
    return f"{entered}; more than {LONG_MINUTES // MINUTES_PER_HOUR} h at one thing is rare."
