"""Reads of a batch's steps: its recipe's steps and its standing marks, as the pure rules of `schedule` want them."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import cast

from django.db.models import Count, Max, Q

from costing.make.batches.models import Batch, BatchSkin
from costing.make.baths.chemistry import cautions
from costing.make.labour.sessions.models import WorkSession
from costing.make.recipes.models import RecipeStep, TaskKind
from costing.make.steps import schedule
from costing.make.steps.models import StepMark
from inventory.models import Skin


@dataclass(frozen=True)
class Row:
    """A step of a batch on the calendar with all that was logged of it, reversed or not.

    `now`: it is the one to do next; `stands`: whether its day is still to come, is here or has passed.
    """

    step: RecipeStep
    laid: schedule.Laid
    marks: tuple[StepMark, ...]
    now: bool
    stands: schedule.Standing


@dataclass(frozen=True)
class Length:
    """How long a recipe takes: days from start to end, minutes of hands for the batch, and those that come with each skin."""

    waiting_days: int
    minutes: int
    minutes_per_skin: int


def length(version_steps: Iterable[RecipeStep]) -> Length:
    rows = list(version_steps)
    plan = as_steps(rows, heads=0)
    each = sum(step.minutes_per_skin for step in rows)
    return Length(schedule.waiting_days(plan), schedule.hands_minutes_total(plan), each)


def as_steps(version_steps: Iterable[RecipeStep], heads: int) -> tuple[schedule.Step, ...]:
    """A version's steps for `heads` skins: the key is the step's name, its name what the hands do."""
    return tuple(
        schedule.Step(
            key=step.name,
            name=step.does,
            lasts_days=step.lasts_days,
            grace_days=step.grace_days,
            wait_days=step.wait_days,
            every_days=step.every_days,
            repeat_name=step.repeat,
            hands_minutes=step.minutes + step.minutes_per_skin * heads,
            repeat_minutes=step.repeat_minutes,
            uses=cast("schedule.Uses", step.uses),
        )
        for step in version_steps
    )


def as_marks(rows: Iterable[StepMark]) -> list[schedule.Mark]:
    """Rows of marks (their step at hand) in the order in which they happened: by day, then as they were written."""
    return [as_mark(row.step, row.on, row.kind) for row in sorted(rows, key=lambda row: (row.on, row.pk))]


def as_mark(step: RecipeStep, on: date, kind: str) -> schedule.Mark:
    return schedule.Mark(step.name, on, cast("schedule.Kind", kind))


def has_begun(batch: Batch, plan: Sequence[schedule.Step]) -> bool:
    """Whether a batch is under way: something was written of it.

    A plan that names its skins, and whose first step lasts, is taken to begin on its day though nothing was written: they
    lie in it, and a missed turn must not go unsaid.
    """
    if batch.state != Batch.State.PLANNED:
        return True
    return bool(plan) and plan[0].lasts_days > 0 and any(stay.left_on is None for stay in batch.stays.all())


def standing(batches: Iterable[Batch], until: date) -> list[StepMark]:
    """The marks of batches that were not reversed, up to a day, in the order in which they happened."""
    rows = StepMark.objects.filter(batch__in=list(batches), reversed_at__isnull=True, on__lte=until)
    return list(rows.select_related("step", "labour").order_by("on", "pk"))


def standing_rows(batch: Batch, until: date | None = None) -> list[StepMark]:
    """The batch's marks that were not reversed, up to a day, in the order in which they happened."""
    return standing([batch], until or date.max)


def standing_marks(batch: Batch, until: date | None = None) -> list[schedule.Mark]:
    return as_marks(standing_rows(batch, until))


def plan_of(batch: Batch, on: date) -> tuple[schedule.Step, ...]:
    """The steps of a batch for as many skins as the hands have to do with on a day."""
    return as_steps(batch.version.steps.all(), heads_of(batch, on))


def laid(batch: Batch, today: date, marks: Iterable[schedule.Mark] | None = None) -> tuple[schedule.Laid, ...]:
    """The batch on the calendar as it stands, seen from `today`: a late open step pushes what follows.

    Counted from the start; from `today` where a first step that lasts should have begun before it.
    """
    plan = plan_of(batch, today)
    late = batch.start < today and not has_begun(batch, plan)
    start = today if late and plan and plan[0].lasts_days else batch.start
    return schedule.lay_out(plan, start, standing_marks(batch) if marks is None else marks, today=today)


def where(batch: Batch, on: date) -> str:
    """The name of the step that a batch was in on a day: the last that ended then, else the one that was open; else empty.

    What came to light at the end of a step happened in it, so the step that ended that day goes before the next.
    """
    plan = as_steps(batch.version.steps.all(), heads=0)
    stood = schedule.lay_out(plan, batch.start, standing_marks(batch, until=on), today=on)
    ended = [each.step.key for each in stood if each.ended == on]
    open_ = [each.step.key for each in stood if each.ended is None]
    return [*ended[-1:], *open_[:1], ""][0]


def entered(skins: Iterable[Skin]) -> dict[int, tuple[str, ...]]:
    """By skin id: the steps that it went through in all its batches, in order, each once. The number of queries does not grow.

    Of a skin that left they do not move with the day on which they are asked, only with what is logged."""
    wanted = [skin.pk for skin in skins]
    rows = BatchSkin.objects.filter(skin__in=wanted).exclude(batch__state=Batch.State.PLANNED)
    stays = list(
        rows.select_related("batch__version").prefetch_related("batch__version__steps").order_by("joined_on", "pk")
    )
    if not stays:
        return dict.fromkeys(wanted, ())
    batches = {stay.batch_id: stay.batch for stay in stays}
    marks: dict[int, list[StepMark]] = defaultdict(list)
    for mark in StepMark.objects.filter(batch__in=batches, reversed_at__isnull=True).select_related("step"):
        marks[mark.batch_id].append(mark)
    laid = {
        pk: schedule.lay_out(as_steps(batch.version.steps.all(), heads=0), batch.start, as_marks(marks[pk]))
        for pk, batch in batches.items()
    }
    found: dict[int, list[str]] = {pk: [] for pk in wanted}
    for stay in stays:
        found[stay.skin_id] += _entered(stay, laid[stay.batch_id])
    return {pk: tuple(dict.fromkeys(names)) for pk, names in found.items()}


def _entered(stay: BatchSkin, laid: Iterable[schedule.Laid]) -> Iterator[str]:
    """Steps that had begun before the skin left and had not ended before it joined: those done, and the one after them."""
    for each in laid:
        if each.ended is None or each.ended >= stay.joined_on:
            if stay.left_on is not None and each.begins >= stay.left_on and each.ended != stay.left_on:
                return
            yield each.step.key
        if each.ended is None:
            return


def calendar(batch: Batch, today: date) -> list[Row]:
    """Every step of the batch with its dates and entries; nothing is to do next in a batch that is done."""
    marks: dict[int, list[StepMark]] = defaultdict(list)
    rows = StepMark.objects.filter(batch=batch).select_related("step", "labour", "written_by", "reverser")
    for mark in rows.order_by("on", "pk"):
        marks[mark.step_id].append(mark)
    stand = as_marks(mark for each in marks.values() for mark in each if mark.reversed_at is None)
    found: list[Row] = []
    waiting = batch.state != Batch.State.DONE
    late = batch.start < today and not has_begun(batch, plan_of(batch, today))
    for step, each in zip(batch.version.steps.all(), laid(batch, today, stand), strict=True):
        now = waiting and each.ended is None
        stands = "late to begin" if late and now else schedule.standing(each, today, turn=now)
        found.append(Row(step, each, tuple(marks[step.pk]), now, stands))
        waiting = waiting and not now
    return found


def there_on(batch: Batch, on: date) -> list[BatchSkin]:
    """The stays that are open at the end of a day; in a plan, those who are to join."""
    planned = batch.state == Batch.State.PLANNED
    return [
        stay
        for stay in batch.stays.all()
        if (planned or stay.joined_on <= on) and (stay.left_on is None or (stay.left_on > on and not planned))
    ]


def heads_of(batch: Batch, on: date) -> int:
    """How many skins the hands have to do with: those there, or as many as were planned while none was named."""
    there = len(there_on(batch, on))
    return max(there, batch.planned_skins) if batch.state == Batch.State.PLANNED or not batch.stays.all() else there


def timed(batches: Iterable[Batch]) -> frozenset[tuple[int, str]]:
    """Batches (by id) and kinds of work of which a session was timed, or runs, since the last entry on a step of that kind.
    Two queries.

    The timer writes those minutes by itself: a tap that brought the planned ones too would pay the same hour twice.
    """
    ids = [batch.pk for batch in batches]
    marks = StepMark.objects.filter(batch__in=ids, reversed_at__isnull=True).order_by().values("batch", "step__kind")
    last = {
        (batch, kind): written
        for batch, kind, written in marks.annotate(last=Max("written_at")).values_list("batch", "step__kind", "last")
    }
    sat = WorkSession.objects.filter(batch__in=ids, dropped_at__isnull=True, labour__reversed_by__isnull=True)
    sat = sat.exclude(kind=TaskKind.OTHER)  # of other work nobody can say which step it was
    found = (
        sat.order_by()
        .values("batch", "kind")
        .annotate(written=Max("labour__written_at"), running=Count("pk", filter=Q(stopped_at__isnull=True)))
    )
    keys = {(row["batch"], row["kind"]): row for row in found}
    return frozenset(
        key for key, row in keys.items() if row["running"] or key not in last or row["written"] > last[key]
    )


def planned_minutes(batch: Batch, step: RecipeStep, kind: str, on: date) -> int:
    """Minutes of hands that the recipe plans for an entry; none where a session of that work is timed on the batch."""
    if (batch.pk, step.kind) in timed([batch]):
        return 0
    if kind == StepMark.Kind.REPEAT:
        return step.repeat_minutes
    return step.minutes + step.minutes_per_skin * heads_of(batch, on)


def cautions_of(step: RecipeStep, words: str) -> list[tuple[str, str]]:
    """Of something done in a step, with their titles: the recipe's own words, then the usual ones by its trade words."""
    own = [("From the recipe", step.caution)] if step.caution else []
    return own + [(caution.title, caution.said) for caution in cautions.for_step(f"{step.name} {words}")]
