"""A skin that slips or spoils: its cost stops on the day, and its stay in the batch ends.

The loss is written off, or borne by the skins that were with it. Which of the two is the maker's to say and to change, as
long as the books of the day are open.
"""

from datetime import date

from costing.make.batches.models import Batch, BatchSkin, Use
from costing.make.batches.stays import services as stays
from costing.make.cost import services as cost
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.labour.models import LabourLine
from costing.make.steps import selectors as steps
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Skin
from inventory.permits import Act, Person
from inventory.skins import services as skins

STEP_LONGEST = 40


@service(lambda spread=False, **_: Act.PRICES if spread else Act.SHED, makes=Skin)
def lose(
    *,
    skin: Skin,
    on: date,
    reason: str,
    step: str | None = None,
    spread: bool = False,
    by: Person = None,
    request_key: str | None = None,
) -> Skin:
    """A skin is lost on a day. What it had borne until then is its loss; the others bear what comes after.

    `step` is where it was lost; None takes the step that its batch was in that day. With `spread` the loss, less what its
    scrap brings, is borne by those in its batch on the day, else it is written off.
    """
    row = skins.lock([skin.tag])[0]
    checks.day(on)
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    if row.stage == Skin.Stage.LOST:
        raise Refused(f"{row.tag} was written off on {row.lost_on} already.", field="tag")
    if row.stage == Skin.Stage.FINISHED or row.parts.exists():
        raise Refused(
            f"{row.tag} is made into {row.parts.select_related('article')[0].article.number}; lose the article instead."
        )
    if on < row.date_in:
        raise Refused(f"{row.tag} came in on {row.date_in}; it cannot be lost before.", field="on")
    stays.refuse_named_after(row, on)
    where = _step(row, on) if step is None else step
    where = checks.text(where, "The step", field="step", longest=STEP_LONGEST)
    skins.set_stage(row, Skin.Stage.LOST, lost_on=on, lost_reason=reason, lost_at_step=where)
    ended = stays.end_stays(row, on)
    if spread:
        _refuse_alone(row)
        skins.set_spread(row, True)
    cost.refresh_skins([row.pk])  # of a skin that was in no batch, too
    for batch in ended:
        cost.refresh_batch(batch)
    return row


@service(Act.PRICES, makes=Skin)
def spread(*, skin: Skin, spread: bool, by: Person = None, request_key: str | None = None) -> Skin:
    """Change one's mind: the others bear the loss, or it is written off. Not once the day of the loss is closed."""
    row = _lost(skin)
    if spread:
        _refuse_alone(row)
    # Who bore it is told before the change and after it: one of the two finds them.
    touched = reallocation.reached([row.pk])
    skins.set_spread(row, spread)
    cost.refresh_skins(touched)
    return row


@service(Act.SHED, makes=Skin)
def reverse(*, skin: Skin, by: Person = None, request_key: str | None = None) -> Skin:
    """It was lost by mistake: it stands in its batch again as if nothing had been. Only while nothing followed."""
    row = _lost(skin)
    scrap = row.sale_lines.filter(standing=True).select_related("sale").first()
    if scrap:
        raise Refused(f"{row.tag} was sold by {scrap.sale.number}. Credit that sale first.", field="tag")
    on = row.lost_on or date.max
    stay = row.stays.filter(left_on=on).select_related("batch").order_by("pk").last()
    if stay is not None:
        stays.hold(stay.batch)
        _refuse_followed(row, stay.batch, on)
    # Those who bear a part of it are known only as long as it is lost.
    touched = reallocation.reached([row.pk])
    begun = row.stays.exclude(batch__state=Batch.State.PLANNED).exists()
    skins.set_stage(row, Skin.Stage.IN_WORK if begun else Skin.Stage.RAW)
    if stay is not None:
        stay.left_on = None
        stay.save(update_fields=["left_on"])
        stays.settle_state(stay.batch)
    cost.refresh_skins(touched)
    return row


def _lost(skin: Skin) -> Skin:
    """The row, locked; it must be lost, no job on it given up, and its day open."""
    row = skins.lock([skin.tag])[0]
    if row.lost_on is None:
        raise Refused(f"{row.tag} is not lost.", field="tag")
    kept = Skin.objects.filter(pk=row.pk, job__given_up_on__isnull=False).select_related("job").first()
    job = kept.job if kept else None
    if job is not None:
        raise Refused(f"{job.number} on {row.tag} is cancelled. Reopen it first, on its page.", field="tag")
    checks.day(row.lost_on)
    return row


def _refuse_alone(row: Skin) -> None:
    if reallocation.if_spread(row) is None:
        raise Refused(f"Nothing survived beside {row.tag}, so its loss can only be written off.", field="how")


def _refuse_followed(row: Skin, batch: Batch, on: date) -> None:
    """Work of later days was borne by the others alone; a skin that came back would change what is written."""
    uses = Use.objects.filter(batch=batch, posting__on__gt=on, posting__reversed_by__isnull=True)
    worked = LabourLine.objects.filter(batch=batch, on__gt=on, reverses__isnull=True, reversed_by__isnull=True)
    if uses.exists() or worked.exists():
        raise Refused(
            f"Work or materials are written on {batch} after {on}, without {row.tag}. Reverse these entries first, "
            "or leave the loss as it is.",
            field="tag",
        )


def _step(row: Skin, on: date) -> str:
    """The step its batch was in: the last that ended that day, else the one that was open."""
    stay = BatchSkin.objects.filter(skin=row, left_on__isnull=True).select_related("batch__version").first()
    if stay is None or stay.batch.state == Batch.State.PLANNED:
        return ""
    return steps.where(stay.batch, on)
