"""What a batch still asks of the hands, day by day: for the batch card, the sick-day sheet and the calendar.

Owns the laying out of open steps and their repeats from a day on. What is due on one day, and what that risks, is
`costing.make.steps.agenda.selectors`; the days come from `costing.make.steps.schedule`. Nothing here looks at the clock.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from costing.make.additions import selectors as additions
from costing.make.additions.selectors import Addition
from costing.make.batches.logs.selectors import Log, logs
from costing.make.batches.models import Batch
from costing.make.batches.requirements import selectors as requirements
from costing.make.recipes.models import RecipeStep, RecipeVersion
from costing.make.steps import schedule, selectors as steps_read
from costing.make.steps.agenda import selectors as agenda
from costing.make.steps.plans import rules as plans
from costing.make.steps.plans.rules import Clash, Stay
from costing.make.steps.schedule import Laid
from inventory.models import Place

Kind = Literal["step", "repeat", "addition"]


@dataclass(frozen=True)
class Ahead:
    """One thing for the hands on a day. `since` is the day it was due: earlier than `on` for what is late and stands on today.

    `cautions`: the recipe's own words first, then the usual ones. `step` is none for what goes in by a recipe without steps.
    """

    batch: Batch
    step: RecipeStep | None
    kind: Kind
    on: date
    since: date
    minutes: int = 0
    addition: Addition | None = None

    @property
    def late_days(self) -> int:
        return (self.on - self.since).days

    @property
    def words(self) -> str:
        if self.addition or self.step is None:
            return self.addition.words if self.addition else ""
        return self.step.repeat if self.kind == "repeat" else self.step.does

    @property
    def turn(self) -> tuple[date, int, bool, int, str]:
        """By the day, then as the recipe has it: what goes into a step before what ends it."""
        position = self.step.position if self.step else 0
        return self.on, position, not self.addition, self.addition.line.position if self.addition else 0, self.kind

    @property
    def place(self) -> str:
        return agenda.place_of(self.batch, self.step)

    @property
    def hazards(self) -> tuple[str, ...]:
        """The cautions without the recipe's own words, which may be advice on good work."""
        own = self.step.caution if self.step and not self.addition else ""
        return tuple(words for words in self.cautions if words != own)

    @property
    def cautions(self) -> tuple[str, ...]:
        if self.addition or self.step is None:
            return self.addition.cautions if self.addition else ()
        return agenda.minded(self.step, self.words)


def coming(on: date, days: int) -> list[Ahead]:
    """All that live and planned batches ask for from a day on and so many days after it, earliest first.

    What is late stands on `on`. The number of queries does not grow with the number of batches.
    """
    found: list[Ahead] = []
    batches = agenda.live(on)
    written = logs(batches, on)
    for batch in batches:
        found += of_batch(batch, written[batch.pk], on, until=on + timedelta(days=days))
    return sorted(found, key=lambda row: (row.on, row.since, row.batch.number, row.turn))


def of_batch(batch: Batch, log: Log, on: date, *, until: date = date.max) -> list[Ahead]:
    """What one batch still asks for, in the order of the days; the steps that follow a late one are counted from `on`."""
    rows = {step.name: step for step in batch.version.steps.all()}
    marks = steps_read.as_marks(log.marks)
    found = [
        Ahead(batch, rows[laid.step.key], kind, max(since, on), since, minutes)
        for laid in steps_read.laid(batch, on, marks)
        if laid.ended is None
        for kind, since, minutes in _days(laid, on)
    ]
    for addition in additions.of(batch, requirements.amounts(batch, on, log), live=True):
        due = addition.amount.due
        found.append(Ahead(batch, addition.step, "addition", max(due, on), due, addition=addition))
    return sorted((row for row in found if row.on <= until), key=lambda row: row.turn)


def _days(laid: schedule.Laid, on: date) -> Iterator[tuple[Kind, date, int]]:
    """The days on which an open step asks for its repeat, then for its own doing, with the minutes of each.

    A repeat that was missed is done once, and the next is counted from then. Repeats go on to the day before the step is
    due; of a step that is late, one more stands for today, so that skins left in are still turned.
    """
    again, every, minutes = laid.repeats_due, timedelta(days=laid.step.every_days), laid.step.repeat_minutes
    if again and again < on:
        yield "repeat", again, minutes
        again = on + every
    if again and again == on and laid.due <= on:
        yield "repeat", again, minutes
    while again and again < laid.due:
        yield "repeat", again, minutes
        again += every
    yield "step", laid.due, laid.step.hands_minutes


@dataclass(frozen=True)
class BackPlan:
    """Every step at its latest, so that the last one ends by `finish`; grace is not spent.

    `weeks`: minutes of hands from a Monday on, those without work left out.
    """

    version: RecipeVersion
    finish: date
    start: date
    rows: tuple[Laid, ...]
    waiting_days: int
    hands_minutes: int
    weeks: tuple[tuple[date, int], ...]


def clashes(on: date) -> list[Clash]:
    """Over all live and planned batches, from a day on: more batches in a tub, or skins on frames, than they hold."""
    stays = [stay for batch in agenda.live(on) for stay in _stays(batch, on)]
    capacity = dict(Place.objects.values_list("name", "holds"))
    return [clash for clash in plans.clashes(stays, capacity) if clash.ends > on]


def clashes_of(batch: Batch, on: date) -> list[tuple[Clash, str]]:
    """Where the tub or the frames of a batch that is not done are wanted by others too, each with what may be done."""
    if batch.state == Batch.State.DONE:
        return []
    found = [clash for clash in clashes(on) if batch.number in clash.batches]
    return with_ways_out(found) if found else []


def with_ways_out(found: list[Clash]) -> list[tuple[Clash, str]]:
    """Each clash with what is wrong and what may be done about it, in words."""
    frames = set(Place.objects.filter(kind=Place.Kind.FRAME).values_list("name", flat=True))
    return [(clash, _way_out(clash, clash.place in frames)) for clash in found]


def _way_out(clash: Clash, frames: bool) -> str:
    one, days = clash.capacity == 1, (clash.ends - clash.begins).days
    wait = f"Let one batch wait {days} day{'' if days == 1 else 's'}"
    if frames:
        holds = f"It holds {clash.capacity} skin{'' if one else 's'} at once, and more are to be laced."
        return f"{holds} {wait}, lace fewer, or give it other frames: change its plan."
    holds = f"It holds {clash.capacity} batch{'' if one else 'es'} at once."
    return f"{holds} {wait} or give it another tub: change its plan. Or take one out early."


def back_plan(version: RecipeVersion, finish: date, heads: int = 1) -> BackPlan:
    """A recipe version laid out backwards from a day, for so many skins."""
    steps = steps_read.as_steps(version.steps.all(), heads)
    waiting = schedule.waiting_days(steps)
    start = finish - timedelta(days=waiting)
    rows = schedule.lay_out(steps, start, [])
    return BackPlan(
        version=version,
        finish=finish,
        start=start,
        rows=rows,
        waiting_days=waiting,
        hands_minutes=schedule.hands_minutes_total(steps),
        weeks=_weeks(rows),
    )


def _stays(batch: Batch, on: date) -> Iterable[Stay]:
    """Where and when a batch holds its tub or its frames; a step that was skipped holds nothing."""
    for laid in steps_read.laid(batch, on, agenda.marks_of(batch)):
        frame = laid.step.uses == "frame"
        place = batch.frames if frame else batch.place
        if laid.step.uses and place is not None and not laid.skipped:
            takes = max(1, steps_read.heads_of(batch, on)) if frame else 1
            yield Stay(batch.number, place.name, laid.begins, plans.held_until(laid, on), takes)


def _weeks(rows: Iterable[Laid]) -> tuple[tuple[date, int], ...]:
    """A step's own minutes fall on the day it is due, those of a repeat on each of its days."""
    found: dict[date, int] = defaultdict(int)
    for laid in rows:
        found[_monday(laid.due)] += laid.step.hands_minutes
        for day in schedule.repeat_dates(laid):
            found[_monday(day)] += laid.step.repeat_minutes
    return tuple((monday, minutes) for monday, minutes in sorted(found.items()) if minutes)


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())
