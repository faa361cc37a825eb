"""Marks: a batch's step done, skipped or repeated. Never edited; a mistake is reversed on its row, which stays."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from costing.make.additions import selectors as additions_read, services as additions
from costing.make.batches.models import Batch
from costing.make.batches.stays import services as stays
from costing.make.cost import services as cost
from costing.make.errors import StepNotReady
from costing.make.labour import services as labour
from costing.make.labour.models import LabourLine
from costing.make.recipes.models import RecipeStep, TaskKind
from costing.make.steps import schedule, selectors as steps
from costing.make.steps.models import StepMark
from costing.make.vessels import services as vessels
from inventory.base import checks
from inventory.base.services import refuse_late, service
from inventory.errors import Refused
from inventory.permits import Act, Person, author


@service(Act.SHED, makes=StepMark)
def log(
    *,
    batch: Batch,
    step: RecipeStep,
    kind: str,
    on: date | None = None,
    at: datetime | None = None,
    minutes: Decimal | None = None,
    note: str = "",
    without: str | None = "",
    by: Person = None,
    request_key: str | None = None,
) -> StepMark:
    """Log a step of a batch on a day, or at the moment of a tap: `done` and `skipped` end it, `repeat` is its turn or drain.

    `minutes` above zero are written as labour for all who are in the batch that day. The first entry puts a planned
    batch in work. Raises `StepNotReady` for what cannot have happened. Refused, too, where a step would be done without what
    goes into it and `without` does not say why (None: an entry that stood before, so that is not judged).
    """
    day, note = _checked(kind, checks.tapped(on, at), note)
    stays.hold_skins(batch)
    _refuse_closed(batch, step)
    _refuse_unready(batch, step, steps.as_mark(step, day, kind))
    if kind == StepMark.Kind.DONE and without is not None:
        additions.leave_out(batch, step, day, without, by)
    line = _labour(batch, step, kind, day, minutes, by)
    mark = StepMark.objects.create(
        batch=batch, step=step, on=day, kind=kind, note=note, labour=line, written_by=author(by)
    )
    stays.begun(batch)
    cost.steps_logged(batch)
    vessels.follow(batch, day, by)
    return mark


@dataclass(frozen=True)
class Told:
    """A mark of a folder: what was logged of a step, and on which day."""

    batch: Batch
    step: RecipeStep
    kind: str
    on: date
    note: str = ""


@service(Act.SHED)
def log_told(*, told: Sequence[Told], by: Person = None) -> list[StepMark]:
    """All that was logged of batches that have no mark yet, in the order of its days: what `log` writes of each one after the other
    with `without=None`, all or nothing."""
    by_batch: dict[int, list[Told]] = defaultdict(list)
    rows = []
    for each in told:
        day, note = _checked(each.kind, each.on, each.note)
        by_batch[each.batch.pk].append(each)
        rows.append(
            StepMark(batch=each.batch, step=each.step, on=day, kind=each.kind, note=note, written_by=author(by))
        )
    for of in by_batch.values():
        batch = of[0].batch
        stays.hold_skins(batch)
        for each in of:
            _refuse_closed(batch, each.step)
        plan = steps.as_steps(batch.version.steps.all(), 0)
        schedule.lay_out(plan, batch.start, [steps.as_mark(each.step, each.on, each.kind) for each in of])
        stays.begun(batch)
    written = StepMark.objects.bulk_create(rows)
    for of in by_batch.values():
        vessels.follow(of[-1].batch, of[-1].on, by)
    return written


@service(Act.SHED)
def fulfil(*, batch: Batch, line: LabourLine, by: Person = None) -> StepMark | None:
    """Log what timed softening answers of the step that is open: its repeat that is due, or the whole of a due step when all
    skins were under the hands. The minutes are those of the session's own line. None where nothing of that kind is due."""
    rows = {step.name: step for step in batch.version.steps.all()}
    laid = schedule.lay_out(steps.plan_of(batch, line.on), batch.start, steps.standing_marks(batch))
    open_ = next((each for each in laid if each.ended is None), None)
    if line.kind != TaskKind.SOFTEN or open_ is None or rows[open_.step.key].kind != line.kind:
        return None
    kind, step = _answered(open_, line.on), rows[open_.step.key]
    there = {stay.skin_id for stay in steps.there_on(batch, line.on)}
    some = kind == "done" and not there <= {skin.pk for skin in line.skins.all()}
    if kind is None or some or (kind == "done" and additions_read.missing(batch, step, line.on)):
        return None
    mark = StepMark.objects.create(batch=batch, step=step, on=line.on, kind=kind, labour=line, written_by=author(by))
    cost.steps_logged(batch)
    vessels.follow(batch, line.on, by)
    return mark


@service(Act.SHED, makes=StepMark)
def reverse(*, mark: StepMark, by: Person = None, request_key: str | None = None) -> StepMark:
    """Take a mark back, its labour line and what was skipped with it too. Not while a later step is logged on its strength."""
    stays.hold_skins(mark.batch)
    row = StepMark.objects.select_for_update(of=("self",)).select_related("step", "labour").get(pk=mark.pk)
    if row.reversed_at:
        raise Refused(f"This entry on “{row.step}” is reversed already.")
    _refuse_built_upon(row)
    row.reversed_at, row.reverser = timezone.now(), author(by)
    row.save(update_fields=["reversed_at", "reverser"])
    if row.kind == StepMark.Kind.DONE:
        additions.ask_again(row.batch, row.step, row.on, by)
    if row.labour and not LabourLine.objects.filter(reverses=row.labour).exists():
        labour.reverse(line=row.labour, by=by)
    cost.steps_logged(row.batch)
    vessels.follow(row.batch, row.on, by, undone=True)
    return row


@service(Act.SHED)
def undo(*, mark: StepMark, by: Person = None) -> StepMark:
    """Reverse what one's own hand wrote a moment ago. After the ten seconds: `reverse`, on the batch's steps page."""
    if mark.written_by != author(by):
        raise Refused("Somebody else wrote this entry. Reverse it on the batch's page of steps instead.")
    refuse_late(mark.written_at)
    return reverse(mark=mark, by=by)


def _answered(laid: schedule.Laid, on: date) -> schedule.Kind | None:
    """What work of a day answers of the open step: its repeat that is due, else the step itself once it is due."""
    if on < laid.begins:
        return None
    if laid.step.every_days:
        return "repeat" if laid.repeats_due and laid.repeats_due <= on else None
    return "done" if laid.due <= on else None


def _checked(kind: str, on: date, note: str) -> tuple[date, str]:
    day = checks.day(on, posts=False)
    if kind not in StepMark.Kind.values:
        raise Refused(f"A step cannot be {kind!r}; log it as done, skipped or repeat.", field="kind")
    return day, checks.text(note, "The note", field="note", longest=200)


def _refuse_closed(batch: Batch, step: RecipeStep) -> None:
    if step.version_id != batch.version_id:
        raise Refused(
            f"{batch.number} is made by {batch.version}, which has no step “{step}” of that version.", field="step"
        )
    if batch.state == Batch.State.DONE:
        raise Refused(f"{batch.number} is done: no skin is in it any more, so nothing is left to log.")


def _refuse_unready(batch: Batch, step: RecipeStep, new: schedule.Mark) -> None:
    """Judge the new mark among those before it, then those after it once more: a mark may be written late."""
    plan = steps.as_steps(batch.version.steps.all(), 0)
    standing = steps.standing_marks(batch)
    before = [mark for mark in standing if mark.on <= new.on]
    after = [mark for mark in standing if mark.on > new.on]
    ended = [mark for mark in standing if mark.kind != "repeat"]
    try:
        schedule.lay_out(plan, batch.start, [*before, new])
    except StepNotReady:
        if len(ended) == len(plan) and new.on >= ended[-1].on:
            last = ended[-1]
            raise Refused(
                f"The last step of {batch.number}, “{last.step}”, was {last.kind} on {last.on}: nothing is left to log. "
                "If that is not so, reverse that entry first."
            ) from None
        raise
    try:
        schedule.lay_out(plan, batch.start, [*before, new, *after])
    except StepNotReady:
        raise StepNotReady(
            step.name,
            step.does,
            new.on,
            f"“{after[0].step}” is logged on {after[0].on} already",
            f"Use {after[-1].on} or a later date, or reverse the later entries first.",
        ) from None


def _labour(
    batch: Batch, step: RecipeStep, kind: str, day: date, minutes: Decimal | None, by: Person
) -> LabourLine | None:
    if minutes is None or minutes == 0:
        return None
    if kind == StepMark.Kind.SKIPPED:
        raise Refused("A step that was skipped took no minutes. Leave them empty, or log it as done.", field="minutes")
    there = batch.stays.filter(joined_on__lte=day).exclude(left_on__lt=day)
    if not there.exists():
        raise Refused(
            f"No skin is in {batch.number} on {day}, so {minutes} minutes can be allocated to nobody. Let its skins join first, "
            "or log the step without minutes.",
            field="minutes",
        )
    repeated = kind == StepMark.Kind.REPEAT
    return labour.log(
        on=day,
        # What is repeated while skins hang on their frames laces none again.
        kind=TaskKind.OTHER if repeated and step.kind == TaskKind.LACE else step.kind,
        task=step.repeat if repeated else step.does,
        minutes=minutes,
        batch=batch,
        by=by,
    )


def _refuse_built_upon(row: StepMark) -> None:
    """A step that ended carries all that follow it: those entries are reversed first, the last one first."""
    if row.kind == StepMark.Kind.REPEAT:
        return
    later: Sequence[StepMark] = [
        mark for mark in steps.standing_rows(row.batch) if mark.step.position > row.step.position
    ]
    if later:
        last = later[-1]
        raise Refused(
            f"“{last.step}” is logged on {last.on}, after “{row.step}” was {row.kind}. Reverse “{last.step}” first."
        )
