"""An addition left out of a batch, with the reason. Never edited; a mistake is reversed on its row, which stays."""

from collections.abc import Iterable
from datetime import date, datetime

from django.utils import timezone

from costing.make.additions import selectors as additions
from costing.make.additions.models import SkippedAddition
from costing.make.batches.models import Batch
from costing.make.batches.stays import services as stays
from costing.make.recipes.models import RecipeLine, RecipeStep
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person, author


@service(Act.SHED, makes=SkippedAddition)
def skip(
    *,
    batch: Batch,
    line: RecipeLine,
    reason: str,
    on: date | None = None,
    at: datetime | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> SkippedAddition:
    """A line of the batch's recipe is left out, on a day or at the moment of a tap; from then on it is not asked for."""
    day = checks.day(checks.tapped(on, at), posts=False)
    stays.hold_skins(batch)
    if line.version_id != batch.version_id:
        raise Refused(f"{batch.number} is made by {batch.version}, which has no such line.", field="line")
    if batch.state == Batch.State.DONE:
        raise Refused(f"{batch.number} is done: nothing is asked of it any more.")
    if batch.skipped.filter(line=line, reversed_at__isnull=True).exists():
        raise Refused(f"{line.material.name} is skipped already.")
    return _skip(batch, [line], day, checks.text(reason, "The reason", field="reason", longest=200, needed=True), by)[0]


@service(Act.SHED, makes=SkippedAddition)
def reverse(*, skipped: SkippedAddition, by: Person = None, request_key: str | None = None) -> SkippedAddition:
    """It is asked for again, unless its step is over."""
    stays.hold(skipped.batch)
    row = SkippedAddition.objects.select_for_update(of=("self",)).get(pk=skipped.pk)
    if row.reversed_at:
        raise Refused("This entry is reversed already.")
    row.reversed_at, row.reverser = timezone.now(), author(by)
    row.save(update_fields=["reversed_at", "reverser"])
    return row


def leave_out(batch: Batch, step: RecipeStep, on: date, reason: str, by: Person) -> None:
    """Refuse to end a step over what did not go in, unless it is said why that is left out: then it is skipped."""
    absent = additions.missing(batch, step, on)
    reason = checks.text(reason, "The reason", field="without", longest=200)
    if absent and not reason:
        verb = "is" if len(absent) == 1 else "are"
        raise Refused(
            f"{additions.told(absent)} {verb} not in {batch.number} yet. Add it first, or say why it is left out.",
            field="without",
        )
    _skip(batch, [addition.line for addition in absent], on, reason, by)


def ask_again(batch: Batch, step: RecipeStep, on: date, by: Person) -> None:
    """What was skipped of a step on the day that it was called done is asked for again, since it is not done."""
    rows = batch.skipped.filter(line__step=step, on=on, reversed_at__isnull=True)
    rows.update(reversed_at=timezone.now(), reverser=author(by))


def _skip(batch: Batch, lines: Iterable[RecipeLine], on: date, reason: str, by: Person) -> list[SkippedAddition]:
    made = [
        SkippedAddition.objects.create(batch=batch, line=line, on=on, reason=reason, written_by=author(by))
        for line in lines
    ]
    stays.begun(batch)
    return made
