"""What is usually used of a material: own uses as events, their rhythm and rate, the season, what one batch takes.

Owns the rules of usual use. Must not read a database, and knows neither stock nor plans: what a planned batch explains is
taken apart from this by whoever joins the two.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from statistics import median

from inventory.foresight.intermittent import SMOOTHING, spaced, tsb
from inventory.money import ZERO, half_up

WINDOW_DAYS = 365  # of silence, after which a material counts as no longer used
HABIT_DAYS = 2 * WINDOW_DAYS  # so that a habit has each season twice
LEAST_DAYS = 30
LEVEL, HALF = (Fraction(1),) * 12, Fraction(1, 2)

# Day, quantity in base units (used above zero; put back, or found at a stocktake, below), and the batch it was used for.
Use = tuple[date, Decimal, int | None]


@dataclass(frozen=True)
class Event:
    """What was used at one go, in base units: for a batch, or without one on a day."""

    on: date
    quantity: Decimal
    batch: bool

    def __post_init__(self) -> None:
        if self.quantity <= 0:
            raise ValueError(f"a use of {self.quantity} on {self.on} is not above zero")


@dataclass(frozen=True)
class Habit:
    """How a material is usually used. Quantities in base units.

    `gaps` are the days from one day of use to the next (1 at least) and a silence beyond them, `sizes` what a day of use
    took, `last` the last one.
    `rate` is what is used a day; `alive` (1 to 0) how much of it is still believed and already in it. `assumed` says what
    the records do not.
    """

    gaps: tuple[int, ...] = ()
    sizes: tuple[Decimal, ...] = ()
    last: date | None = None
    rate: Fraction = Fraction(0)
    alive: Fraction = Fraction(0)
    assumed: str = ""


@dataclass(frozen=True)
class Usual:
    """Usual use: for batches, and besides them; `season` is how much of an ordinary day of use a day of each month is.

    `usual_batch` is what one batch takes, `usual_use` what is taken at once besides batches (base unit), where there was any.
    """

    batches: Habit
    besides: Habit
    season: tuple[Fraction, ...] = LEVEL
    usual_batch: Decimal | None = None
    usual_use: Decimal | None = None

    @cached_property
    def rate(self) -> Fraction:
        """Base units a day."""
        return self.batches.rate + self.besides.rate

    @cached_property
    def _hash(self) -> int:
        return hash((self.batches, self.besides, self.season, self.usual_batch, self.usual_use))

    def __hash__(self) -> int:
        """Worked out once: a forecast is asked for again by it, and it holds every use of two years."""
        return self._hash


def events(uses: Iterable[Use]) -> tuple[Event, ...]:
    """Uses made events, oldest first: what one batch took, on the day of its first use; without a batch, what a day took.

    Those of one day and kind are one. What is below zero in the end (found at a stocktake, put back) was not used: it is
    taken off the events up to that day, the latest first; with none left it is forgotten.

    >>> days = [date(2025, 3, day) for day in (1, 2, 9)]
    >>> uses = [(days[0], Decimal(300), 7), (days[1], Decimal(200), 7), (days[1], Decimal(40), None), (days[2], Decimal(-50), None)]
    >>> [(each.on.day, each.quantity, each.batch) for each in events(uses)]
    [(1, Decimal('490'), True)]
    """
    kept: list[Event] = []
    # On one day what was used comes before what is taken off.
    for (day, batch), net in sorted(_nets(uses).items(), key=lambda each: (each[0][0], each[1] < 0, each[0][1])):
        if net > 0:
            kept.append(Event(day, net, batch))
        else:
            _take_off(kept, -net)
    return tuple(kept)


def _nets(uses: Iterable[Use]) -> dict[tuple[date, bool], Decimal]:
    """By day and kind. A batch is dated at its first use, or where more came back than it took, at the last return."""
    nets: dict[tuple[date, bool], Decimal] = defaultdict(Decimal)
    batches: dict[int, list[tuple[date, Decimal]]] = defaultdict(list)
    for day, quantity, batch in uses:
        if batch is None:
            nets[day, False] += quantity
        else:
            batches[batch].append((day, quantity))
    for entries in batches.values():
        net = sum((quantity for _, quantity in entries), ZERO)
        if net > 0:
            nets[min(day for day, quantity in entries if quantity > 0), True] += net
        elif net < 0:
            nets[max(day for day, quantity in entries if quantity < 0), True] += net
    return nets


def _take_off(kept: list[Event], quantity: Decimal) -> None:
    while kept and quantity > 0:
        event = kept.pop()
        if event.quantity > quantity:
            kept.append(replace(event, quantity=event.quantity - quantity))
        quantity -= event.quantity


def habit(events: Iterable[Event], since: date, on: date) -> Habit:
    """The habit that the events up to `on` show, seen over the two years before the last of them.

    `since` is the first day that is looked at: the shelf's first day, or a later one from which events are given.

    rate = SBA by days × alive, from the means of sizes and intervals on; from the first of each on, a material that is used
    for the first time on the day it came would seem used daily for years. Windows end at the last use and not at `on`, so
    that silence alone never raises the rate. A gap counts 365 days at most: after them use began anew. A silence that is
    longer than all of them is one more gap already: two uses in spring are no rhythm at the year's end.

    A single use is no habit yet, as the libraries refuse a series of one demand.

    alive = 1 until the longest gap is passed, then falls as `tsb` falls, 1/10 a mean gap, and is 0 from 365 days without use
    on: what is no longer used must not be ordered for ever.

    >>> weekly = [Event(date(2025, 1, day), Decimal(70), batch=False) for day in (1, 8, 15, 22, 29)]
    >>> found = habit([*weekly, Event(date(2025, 2, 5), Decimal(70), batch=False)], date(2024, 12, 26), date(2025, 2, 12))
    >>> found.gaps, found.rate, found.alive
    ((7, 7, 7, 7, 7), Fraction(19, 2), Fraction(1, 1))
    >>> habit(weekly[:1], date(2025, 1, 1), date(2025, 2, 3)).assumed
    'used once, which is no usual use yet'
    """
    used: dict[date, Decimal] = defaultdict(Decimal)
    for event in events:
        if event.on <= on:
            used[event.on] += event.quantity
    if not used:
        return Habit(assumed="no use on record")
    days = sorted(used)
    silence = (on - days[-1]).days
    if silence >= WINDOW_DAYS:
        return Habit(last=days[-1], assumed=f"not used for {silence} days: taken as no longer used")
    if len(days) == 1:
        return Habit(last=days[-1], assumed="used once, which is no usual use yet")
    known = [day for day in days if (days[-1] - day).days < HABIT_DAYS]
    sizes = tuple(used[day] for day in known)
    gaps, intervals, assumed = _gaps(days, known, min(since, known[0]))  # it was there when it was used
    alive = _alive(gaps, silence)
    if alive < 1:
        share = half_up(100 * alive, 0)
        fades = f"not used for {silence} days, {max(gaps)} at most before: counted at {share} %"
        assumed = "; ".join(filter(None, (assumed, fades)))
    if silence > max(intervals):
        gaps, intervals = (*gaps, silence), (*intervals, silence)
    return Habit(gaps, sizes, days[-1], _rate(sizes, intervals) * alive, alive, assumed)


def _gaps(days: Sequence[date], known: Sequence[date], since: date) -> tuple[tuple[int, ...], tuple[int, ...], str]:
    """Gaps between uses, the interval of each use that is known (the first from `since`), and what was assumed.

    Uses that all lie within a month show no rhythm yet: the wait for the first of them counts as a gap too, and is made
    long enough for 30 days in all.
    """
    gaps = tuple(min(WINDOW_DAYS, (later - before).days) for before, later in pairwise(days) if later >= known[0])
    if len(gaps) == len(known):  # there was a use before the window
        return gaps, gaps, ""
    first = min(WINDOW_DAYS, (known[0] - since).days + 1)
    if sum(gaps) >= LEAST_DAYS:
        return gaps, (first, *gaps), ""
    intervals = (max(first, LEAST_DAYS - sum(gaps)), *gaps)
    assumed = f"used within {sum(gaps) + 1} days only: taken as {len(known)} times in {sum(intervals)} days"
    return intervals, intervals, assumed


def _alive(gaps: Sequence[int], silence: int) -> Fraction:
    beyond = max(0, silence - max(gaps)) * len(gaps) // sum(gaps)
    return tsb((1, 1, *[0] * beyond), start=Fraction(1)).probability


def _rate(sizes: Sequence[Decimal], intervals: Sequence[int]) -> Fraction:
    """Base units a day while it is alive."""
    means = Fraction(sum(sizes, ZERO)) / len(sizes), Fraction(sum(intervals), len(intervals))
    return spaced(sizes, intervals, start=means).unbiased(SMOOTHING).forecast


def season(events: Iterable[Event], on: date) -> tuple[Fraction, ...]:
    """A factor on the rate for each calendar month, January first, 1 on average; all 1 until events reach back two years.

    factor = (1 + the month's share of use × 12) ÷ 2, over the whole years up to `on`: half-way to 1, so 1/2 at least, for
    short histories exaggerate seasons (Miller and Williams 2003, Int. J. of Forecasting 19(4), 669-684, shrink them too).
    That it is half-way is common practice, no source.

    >>> autumns = [Event(date(year, 10, 5), Decimal(100), batch=True) for year in (2022, 2023, 2024)]
    >>> [str(factor) for factor in season(autumns, date(2024, 12, 31))[8:]]
    ['1/2', '13/2', '1/2', '1/2']
    """
    known = [event for event in events if event.on <= on]
    if not known:
        return LEVEL
    first = min(event.on for event in known)
    years = on.year - first.year - ((on.month, on.day) < (first.month, first.day))
    begin = (on.year - years, on.month, on.day)  # a tuple, for 29 February has no day in most other years
    used = [ZERO] * 12
    for event in known:
        if (event.on.year, event.on.month, event.on.day) > begin:
            used[event.on.month - 1] += event.quantity
    total = sum(used)
    if years < 2 or not total:
        return LEVEL
    twice = Fraction(2 * total)
    return tuple(Fraction(total + 12 * each) / twice if each else HALF for each in used)


def middle(events: Iterable[Event]) -> Decimal | None:
    """The middle of what was taken at once (base units): no reorder point is below it. None where nothing was.

    >>> middle([Event(date(2025, 3, day), Decimal(grams), batch=True) for day, grams in ((1, 480), (9, 520), (20, 2000))])
    Decimal('520')
    """
    return median(sorted(taken)) if (taken := [event.quantity for event in events]) else None


def usual(uses: Iterable[Use], first: date, on: date) -> Usual:
    """What the uses of a material up to a day show; `first` is its first day on the shelf."""
    found = events(uses)
    batches = [event for event in found if event.batch]
    besides = [event for event in found if not event.batch]
    return Usual(
        batches=habit(batches, first, on),
        besides=habit(besides, first, on),
        season=season(found, on),
        usual_batch=middle(batches),
        usual_use=middle(besides),
    )
