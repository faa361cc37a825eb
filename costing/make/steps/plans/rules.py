"""Which batch holds a tub or a frame on which days, and where two want the same one.

Owns the days held and the clash. Must not know what a place is or read a database: places come by name, with how
much each can hold at once: batches in a tub, skins on a set of frames.

A place is held from the day a step begins up to, not including, the day it ends: a tub emptied in the morning is free
for the next batch. A step that lasts no days holds its place for that day.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from costing.make.steps.schedule import Laid


@dataclass(frozen=True)
class Stay:
    """A batch in a named place from `begins` up to, not including, `ends`; it `takes` so much of what the place holds.

    A tub holds batches, a set of frames holds skins.
    """

    batch: str
    place: str
    begins: date
    ends: date
    takes: int = 1

    def __post_init__(self) -> None:
        if self.ends <= self.begins:
            raise ValueError(f"a stay must end after it begins: {self}")


@dataclass(frozen=True)
class Clash:
    """More in a place than it holds, from `begins` up to, not including, `ends`."""

    place: str
    begins: date
    ends: date
    batches: tuple[str, ...]
    capacity: int


def held_until(laid: Laid, today: date) -> date:
    """When a step that began gives its place free: as logged, else as planned; a late one holds it on to `today`.

    >>> from costing.make.steps import schedule
    >>> frame = schedule.Step("frame", "Unlace", lasts_days=8, uses="frame")
    >>> [laid] = schedule.lay_out([frame], date(2025, 2, 3), [])
    >>> [held_until(laid, date(2025, 2, nth)).day for nth in (1, 20)]
    [11, 21]
    """
    next_day = timedelta(days=1)
    late = laid.ended is None and laid.begins <= today
    ends = laid.ended or (max(laid.due, today + next_day) if late else laid.due)
    return max(ends, laid.begins + next_day)


def clashes(stays: Iterable[Stay], capacity: Mapping[str, int] | None = None) -> list[Clash]:
    """Where and when more is wanted of a place than it holds, by place and date; a place not in `capacity` holds one.

    A batch that goes from one step to the next in the same place counts once.

    >>> day = lambda nth: date(2025, 2, nth)
    >>> [(c.begins.day, c.ends.day) for c in clashes([Stay("B1", "T1", day(1), day(9)), Stay("B2", "T1", day(7), day(20))])]
    [(7, 9)]
    """
    by_place: dict[str, list[Stay]] = defaultdict(list)
    for stay in stays:
        by_place[stay.place].append(stay)
    return [
        clash for place in sorted(by_place) for clash in _in(place, by_place[place], (capacity or {}).get(place, 1))
    ]


def _in(place: str, stays: Sequence[Stay], holds: int) -> list[Clash]:
    edges = sorted({edge for stay in stays for edge in (stay.begins, stay.ends)})
    found: list[Clash] = []
    for begins, ends in pairwise(edges):
        taken = {stay.batch: stay.takes for stay in stays if stay.begins <= begins < stay.ends}
        there = tuple(sorted(taken))
        if sum(taken.values()) <= holds:
            continue
        if found and found[-1].ends == begins and found[-1].batches == there:
            begins = found.pop().begins
        found.append(Clash(place, begins, ends, there, holds))
    return found
