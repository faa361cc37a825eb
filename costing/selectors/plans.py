"""Looking ahead over batches: where two want the same tub or frames, and when to begin so as to be done by a date."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from costing import occupancy, schedule
from costing.models import Batch, RecipeVersion
from costing.occupancy import Clash, Stay
from costing.schedule import Laid
from costing.selectors import dues
from costing.selectors import steps as read
from inventory.models import Place


@dataclass(frozen=True)
class Week:
    """Hands asked for in the week that begins on a Monday."""

    monday: date
    minutes: int


@dataclass(frozen=True)
class BackPlan:
    """Every step at its latest, so that the last one ends by `finish`; grace is not spent. `weeks` without work are left out."""

    version: RecipeVersion
    finish: date
    start: date
    rows: tuple[Laid, ...]
    waiting_days: int
    hands_minutes: int
    weeks: tuple[Week, ...]


def clashes(on: date) -> list[Clash]:
    """Over all live and planned batches, from a day on: more batches in a tub, or skins on frames, than they hold."""
    stays = [stay for batch in dues.live(on) for stay in _stays(batch, on)]
    capacity = dict(Place.objects.values_list("name", "holds"))
    return [clash for clash in occupancy.clashes(stays, capacity) if clash.ends > on]


def back_plan(version: RecipeVersion, finish: date, heads: int = 1) -> BackPlan:
    """A recipe version laid out backwards from a day, for so many skins."""
    steps = read.as_steps(version.steps.all(), heads)
    start = schedule.latest_start(steps, finish)
    rows = schedule.lay_out(steps, start, [])
    return BackPlan(
        version=version,
        finish=finish,
        start=start,
        rows=rows,
        waiting_days=schedule.waiting_days(steps),
        hands_minutes=schedule.hands_minutes_total(steps),
        weeks=_weeks(rows),
    )


def _stays(batch: Batch, on: date) -> Iterable[Stay]:
    stays = list(batch.stays.all())
    heads = read.heads_of(batch, stays, on)
    steps = read.as_steps(batch.version.steps.all(), heads)
    start = read.counted_from(batch, stays, steps, on)
    for hold in occupancy.occupancy(steps, start, dues.marks_of(batch), today=on):
        frame = hold.uses == "frame"
        place = batch.frames if frame else batch.place
        if place is not None:
            yield Stay(batch.number, place.name, hold.begins, hold.ends, takes=max(1, heads) if frame else 1)


def _weeks(rows: Iterable[Laid]) -> tuple[Week, ...]:
    """A step's own minutes fall on the day it is due, those of a repeat on each of its days."""
    found: dict[date, int] = defaultdict(int)
    for laid in rows:
        found[_monday(laid.due)] += laid.step.hands_minutes
        for day in schedule.repeat_dates(laid):
            found[_monday(day)] += laid.step.repeat_minutes
    return tuple(Week(monday, minutes) for monday, minutes in sorted(found.items()) if minutes)


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
