"""A material's stock day by day on many paths it may take: plans on their days, usual use drawn from its own past.

Owns the drawing. Must not judge: what the paths mean for the maker is in `rules.py`. Cells are thousandths of the base unit, whole
numbers in floating cells (exact up to 2^53), so that what is planned comes out to the last thousandth.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from math import ceil, floor, sqrt

import numpy as np
from numpy.typing import NDArray

from inventory.foresight.demand import Habit
from inventory.foresight.supply import LEARNED_FROM, Coming, Need, Parcel

PATHS = 1000
SCALE = 1000
HALF = Fraction(1, 2)
Cells = NDArray[np.float64]
Days = NDArray[np.int64]


@dataclass(frozen=True)
class Stream:
    """One kind of usual use.

    `clock`: for each day from tomorrow on, how much of an ordinary day it is: 0 where a plan stands in for it, else by season.
    `fresh`: the pause before the first use begins anew, as it does after a planned batch.
    """

    habit: Habit
    clock: Sequence[Fraction]
    fresh: bool = False


@dataclass(frozen=True)
class Run:
    """Stock and use up to the end of each day, `[day, path]`; day 0 is today. Stock below nothing is what is lacking. There is one
    path where nothing is uncertain. `spoils`: what goes past its day in the middle of the paths."""

    on: date
    stock: Cells
    used: Cells
    spoils: tuple[tuple[date, Decimal], ...]

    @property
    def days(self) -> int:
        return len(self.stock) - 1

    @cached_property
    def lack(self) -> Days:
        """By path the day (counted from today) on which something is lacking first; `days + 1` where nothing is."""
        return _first_below(self.stock)

    @property
    def middle_lack(self) -> int | None:
        """The day by which something is lacking on half of the paths; None where that is after the last day."""
        day = int(quantile(self.lack, HALF))
        return day if day <= self.days else None

    def order_in(self, lead: Sequence[int], service: Fraction) -> int | None:
        """The latest day to order for the share `service` of the paths to lack nothing before it comes.

        Below nothing where that day is past. None where too few run out at all.
        """
        lack, takes = self._pairs(lead)
        spare = np.where(lack <= self.days, lack - takes, np.inf)
        place = floor((1 - service) * len(spare))
        latest = float(np.partition(spare, place)[place])
        return int(latest) if np.isfinite(latest) else None

    def risk(self, lead: Sequence[int], later: int = 0) -> Fraction:
        """The share of paths on which something is lacking before what is ordered so many days later comes."""
        lack, takes = self._pairs(lead)
        return Fraction(int((lack < takes + later).sum()), len(lack))

    def _pairs(self, lead: Sequence[int]) -> tuple[Days, Days]:
        """Paths with the days an order takes: each of the known times as often as the others."""
        return _pairs(self.lack, lead)

    def lacking(self, until: int, service: Fraction) -> Decimal:
        """What has to come for nothing to be lacking up to a day, on that share of the paths."""
        return max(Decimal(0), amount(quantile(-self.stock[: until + 1].min(axis=0), service)))

    def stock_on(self, day: int) -> Decimal:
        """The middle of the paths."""
        return amount(quantile(self.stock[min(day, self.days)], HALF))

    def used_by(self, day: int, share: Fraction = HALF) -> Decimal:
        """What is used up to a day on that share of the paths at most."""
        return amount(quantile(self.used[min(day, self.days)], share))

    def bands(self, shares: Sequence[Fraction]) -> list[tuple[Decimal, ...]]:
        """By day the stock that each share of the paths stays at or below."""
        ordered = np.sort(self.stock, axis=1)
        ranks = [rank(share, ordered.shape[1]) for share in shares]
        return [tuple(map(amount, row)) for row in ordered[:, ranks].tolist()]


def run(
    parcels: Sequence[Parcel],
    coming: Sequence[Coming],
    needs: Sequence[Need],
    streams: Sequence[Stream],
    on: date,
    days: int,
    *,
    origin: int,
    paths: int = PATHS,
) -> Run:
    """Look `days` ahead from `on`. The same origin draws the same use, whatever the stock and the lead time are."""
    used = _used(needs, streams, on, days, days, origin, paths)
    stock = _there(parcels, coming, on, days) - used
    return Run(on, stock, used, tuple(_spoil(stock, used, parcels, on)))


def lacks(
    parcels: Sequence[Parcel],
    coming: Sequence[Coming],
    needs: Sequence[Need],
    streams: Sequence[Stream],
    on: date,
    days: int,
    until: int,
    *,
    origin: int,
    lead: Sequence[int],
) -> tuple[int, int]:
    """On how many of the paths of `run`, and of how many, something is lacking before an order comes that is made when the longest
    one would come on the day `until`. The paths are drawn no further than that; nothing may spoil up to then.
    """
    planned = sum((need.quantity for need in needs), Decimal(0))
    if most_used(streams, until) + planned <= sum((parcel.quantity for parcel in parcels), Decimal(0)):
        return 0, 1
    used = _used(needs, streams, on, days, until, origin, PATHS)
    lack, takes = _pairs(_first_below(_there(parcels, coming, on, until) - used), lead)
    return int(((lack <= until) & (lack - takes <= until - max(lead))).sum()), len(lack)


def most_used(streams: Sequence[Stream], days: int) -> Decimal:
    """More than this is used on no path: the largest amount after each of the shortest pauses."""
    return sum((_times(stream, days) * max(stream.habit.sizes) for stream in _live(streams, days)), Decimal(0))


def _times(stream: Stream, days: int) -> int:
    """So many uses at most. The first pause may be a part of one, yet a day at least."""
    return ceil(sum(_ticks(stream.clock[:days])) + 1) // min(stream.habit.gaps) + 1


def _live(streams: Sequence[Stream], days: int) -> list[Stream]:
    return [stream for stream in streams if stream.habit.gaps and any(stream.clock[:days])]


def _used(
    needs: Sequence[Need], streams: Sequence[Stream], on: date, days: int, until: int, origin: int, paths: int
) -> Cells:
    """What is used up to the end of each day until `until`, on paths of so many `days`."""
    live = _live(streams, days)
    used = np.zeros((until + 2, paths if live else 1))  # the last row takes what lies beyond the last day
    for number, stream in enumerate(streams):
        if stream in live:
            cells, sizes = _drawn(stream, on, days, until, paths, (origin, number))
            used += np.bincount(cells, sizes, minlength=used.size).reshape(used.shape)
    for need in needs:
        used[min(_day(need.on, on), until + 1)] += scaled(need.quantity)
    return np.cumsum(used[:-1], axis=0, out=used[:-1])


def _there(parcels: Sequence[Parcel], coming: Sequence[Coming], on: date, days: int) -> Cells:
    there = np.full((days + 1, 1), scaled(sum((parcel.quantity for parcel in parcels), Decimal(0))))
    for order in coming:
        there[_day(order.due, on) :] += scaled(order.quantity)
    return there


def _first_below(stock: Cells) -> Days:
    short = stock < 0
    first = short.argmax(axis=0)
    found: Days = np.where(short[first, np.arange(len(first))], first, len(stock))
    return found


def _pairs(lack: Days, lead: Sequence[int]) -> tuple[Days, Days]:
    count = max(len(lack), len(lead))
    return lack if len(lack) == count else np.resize(lack, count), np.resize(np.array(lead), count)


def _drawn(stream: Stream, on: date, days: int, until: int, paths: int, origin: tuple[int, int]) -> tuple[Days, Cells]:
    """Uses that might be up to the day `until`: the cell of each, by day and path, and its amount.

    Pauses and amounts are drawn from those there were, each by itself; pauses count on the clock. A path goes on as it began,
    however far it is looked at: what is drawn first of many days is what is drawn of few.
    """
    habit = stream.habit
    chance, which, much, goes_on = range(4)
    gaps = np.array(habit.gaps)
    ticks = np.concatenate([[0.0], np.cumsum(_ticks(stream.clock[:days]))])
    last, seen = int(ticks[-1]), int(ticks[until])
    most = _enough(last, gaps)
    rows = most if until == days else min(most, _enough(seen, gaps))
    pick = _chances(origin, which)
    pauses = gaps[pick.integers(len(gaps), size=(rows, paths))]
    if not stream.fresh:
        pauses[0] = _first(habit, gaps, on, _chances(origin, chance).random(paths))
    # A pause that ends beyond the last tick ends after the last day.
    day_of = np.append(np.searchsorted(ticks[: until + 1], np.arange(seen + 1)), until + 1)
    ends = np.cumsum(pauses, axis=0, out=pauses)
    while len(ends) < most and ends[-1].min() <= seen:
        more = gaps[pick.integers(len(gaps), size=(1, paths))]
        ends = np.concatenate([ends, ends[-1] + more])
    ends = np.minimum(ends, seen + 1)
    needed = rows if until == days else max(1, int((ends <= seen).any(axis=1).sum()))
    at = day_of[ends[:needed]]
    sizes = np.array([scaled(size) for size in habit.sizes])
    sizes = sizes[_chances(origin, much).integers(len(sizes), size=(needed, paths))]
    if habit.alive < 1:
        sizes *= _chances(origin, goes_on).random(paths) < float(habit.alive)
    return (at * paths + np.arange(paths)).ravel(), sizes.ravel()


def _ticks(clock: Sequence[Fraction]) -> list[float]:
    """Read once for each of the few values that a clock repeats: they are the same objects, day after day."""
    values = {id(tick): tick for tick in clock}
    read = {key: float(tick) for key, tick in values.items()}
    return [read[id(tick)] for tick in clock]


def _chances(origin: tuple[int, int], what: int) -> np.random.Generator:
    return np.random.default_rng([*origin, what])


def _first(habit: Habit, gaps: Days, on: date, chance: Cells) -> Days:
    """The days to the next use: a pause longer than the silence so far, less the silence.

    Where none was so long, or there are too few to tell a rhythm, it is a part of any.
    """
    silence = (on - habit.last).days if habit.last else 0
    longer = gaps[gaps > silence] if len(gaps) >= LEARNED_FROM else gaps[:0]
    pick = (chance * (len(longer) or len(gaps))).astype(int)
    if len(longer):
        return np.asarray(longer[pick] - silence)
    part = (chance * len(gaps)) % 1
    return np.asarray(np.maximum(1, np.ceil(part * gaps[pick])), dtype=int)


def _enough(ticks: int, gaps: Days) -> int:
    """So many pauses fill the clock on practically every path; never more than would fill it with the shortest."""
    mean, spread = float(gaps.mean()), float(gaps.std())
    likely = ticks / mean + 6 * sqrt(ticks * max(spread, mean / 8) ** 2 / mean**3) + 4
    return min(ticks // int(gaps.min()) + 1, ceil(likely))


def _spoil(stock: Cells, used: Cells, parcels: Sequence[Parcel], on: date) -> list[tuple[date, Decimal]]:
    """Take off the stock what is left of each parcel the day after its last good one; the first to spoil is used first."""
    days = len(stock) - 1
    there, gone, told = 0.0, np.zeros(stock.shape[1]), []
    for parcel in sorted(parcels, key=lambda each: each.best_before or date.max):
        last = parcel.best_before
        there += scaled(parcel.quantity)
        if last is None or last >= on + timedelta(days=days):
            break
        by_then = used[(last - on).days] if last >= on else 0.0
        rest = np.maximum(0.0, there - gone - by_then)
        stock[_day(last + timedelta(days=1), on) :] -= rest
        gone += rest
        if middle := amount(quantile(rest, HALF)):
            told.append((last, middle))
    return told


def _day(day: date, on: date) -> int:
    """Days from today; what is past counts today."""
    return max(0, (day - on).days)


def quantile(values: Cells | Days, share: Fraction) -> float:
    """The least value that so large a share of the values does not exceed."""
    place = rank(share, len(values))
    return float(np.partition(values, place)[place])


def rank(share: Fraction, count: int) -> int:
    return max(0, ceil(share * count) - 1)


def scaled(quantity: Decimal) -> float:
    return float(quantity * SCALE)


def amount(cell: float) -> Decimal:
    return Decimal(round(cell)) / SCALE
