"""What a batch still asks of the hands, day by day: for the batch card, the sick-day sheet and the calendar.

Owns the laying out of open steps and their repeats from a day on. What is due on one day, and what that risks, is
`costing.selectors.dues`; the days come from `costing.schedule`. Nothing here looks at the clock.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from costing import schedule
from costing.models import Batch, RecipeStep
from costing.selectors import dues
from costing.selectors import steps as read

Kind = Literal["step", "repeat"]


@dataclass(frozen=True)
class Ahead:
    """One thing for the hands on a day. `since` is the day it was due: earlier than `on` for what is late and stands on today.

    `cautions`: the recipe's own words first, then the usual ones.
    """

    batch: Batch
    step: RecipeStep
    kind: Kind
    on: date
    since: date
    words: str
    minutes: int
    place: str
    cautions: tuple[str, ...]

    @property
    def late_days(self) -> int:
        return (self.on - self.since).days


def coming(on: date, days: int) -> list[Ahead]:
    """All that live and planned batches ask for from a day on and so many days after it, earliest first.

    What is late stands on `on`. The number of queries does not grow with the number of batches.
    """
    found: list[Ahead] = []
    for batch in dues.live(on):
        found += of_batch(batch, dues.marks_of(batch), on, until=on + timedelta(days=days))
    return sorted(found, key=lambda row: (row.on, row.since, row.batch.number, row.step.position))


def of_batch(batch: Batch, marks: Iterable[schedule.Mark], on: date, *, until: date = date.max) -> list[Ahead]:
    """What one batch still asks for, in the order of the days; the steps that follow a late one are counted from `on`."""
    rows = {step.name: step for step in batch.version.steps.all()}
    stays = list(batch.stays.all())
    plan = read.as_steps(rows.values(), read.heads_of(batch, stays, on))
    start = read.counted_from(batch, stays, plan, on)
    found = [
        _row(batch, rows[laid.step.key], kind, since, on, laid)
        for laid in schedule.lay_out(plan, start, marks, today=on)
        if laid.ended is None
        for kind, since in _days(laid, on)
    ]
    return sorted((row for row in found if row.on <= until), key=lambda row: (row.on, row.step.position, row.kind))


def _days(laid: schedule.Laid, on: date) -> Iterator[tuple[Kind, date]]:
    """The days on which an open step asks for its repeat, then for its own doing.

    A repeat that was missed is done once, and the next is counted from then. Repeats go on to the day before the step is
    due; of a step that is late, one more stands for today, so that skins left in are still turned.
    """
    again, every = laid.repeats_due, timedelta(days=laid.step.every_days)
    if again and again < on:
        yield "repeat", again
        again = on + every
    if again and again == on and laid.due <= on:
        yield "repeat", again
    while again and again < laid.due:
        yield "repeat", again
        again += every
    yield "step", laid.due


def _row(batch: Batch, step: RecipeStep, kind: Kind, since: date, on: date, laid: schedule.Laid) -> Ahead:
    repeat = kind == "repeat"
    words = step.repeat if repeat else step.does
    return Ahead(
        batch=batch,
        step=step,
        kind=kind,
        on=max(since, on),
        since=since,
        words=words,
        minutes=laid.step.repeat_minutes if repeat else laid.step.hands_minutes,
        place=dues.place_of(batch, step),
        cautions=dues.minded(step, words),
    )
