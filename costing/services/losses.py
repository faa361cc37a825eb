"""A skin that slips or spoils: its cost stops on the day, and its stay in the batch ends.

The loss is written off, or borne by the skins that were with it. Which of the two is the maker's to say and to change, as
long as the books of the day are open.
"""

from __future__ import annotations

from datetime import date

from django.db import transaction

from costing.book_errors import NobodyLeft
from costing.models import Batch, BatchSkin, Job, LabourLine, SaleLine, Use
from costing.selectors import spread as reads
from costing.selectors import steps
from costing.services import batches, late
from inventory.errors import Refused
from inventory.models import Skin
from inventory.services import checks, requests
from inventory.services import skins as skin_services
from inventory.services.permits import Act, Person, require

STEP_LONGEST = 40


@transaction.atomic
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
    require(by, Act.PRICES if spread else Act.SHED)
    if done := requests.earlier(request_key, Skin, "lose"):
        return done
    row = skin_services.lock([skin.tag])[0]
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
    batches.refuse_named_after(row, on)
    where = _step(row, on) if step is None else step
    where = checks.text(where, "The step", field="step", longest=STEP_LONGEST)
    skin_services.set_stage(row, Skin.Stage.LOST, lost_on=on, lost_reason=reason, lost_at_step=where)
    ended = batches.end_stays(row, on)
    if spread:
        _refuse_alone(row)
        skin_services.set_spread(row, True)
    for batch in ended:
        late.refresh_batch(batch)
    return requests.keep(request_key, row)


@transaction.atomic
def spread(*, skin: Skin, spread: bool, by: Person = None, request_key: str | None = None) -> Skin:
    """Change one's mind: the others bear the loss, or it is written off. Not once the day of the loss is closed."""
    require(by, Act.PRICES)
    if done := requests.earlier(request_key, Skin, "spread"):
        return done
    row = _lost(skin)
    if spread:
        _refuse_alone(row)
    # Who bore it is told before the change and after it: one of the two finds them.
    touched = reads.reached([row.pk])
    skin_services.set_spread(row, spread)
    late.refresh_skins(touched)
    return requests.keep(request_key, row)


@transaction.atomic
def take_back(*, skin: Skin, by: Person = None, request_key: str | None = None) -> Skin:
    """It was lost by mistake: it stands in its batch again as if nothing had been. Only while nothing followed."""
    require(by, Act.SHED)
    if done := requests.earlier(request_key, Skin, "take the loss back"):
        return done
    row = _lost(skin)
    scrap = SaleLine.objects.filter(skin=row, standing=True).select_related("sale").first()
    if scrap:
        raise Refused(f"{row.tag} was sold by {scrap.sale.number}. Credit that sale first.", field="tag")
    on = row.lost_on or date.max
    stay = row.stays.filter(left_on=on).select_related("batch").order_by("pk").last()
    if stay is not None:
        batches.hold(stay.batch)
        _refuse_followed(row, stay.batch, on)
    # Those who bear a part of it are known only as long as it is lost.
    touched = reads.reached([row.pk])
    begun = row.stays.exclude(batch__state=Batch.State.PLANNED).exists()
    skin_services.set_stage(row, Skin.Stage.IN_WORK if begun else Skin.Stage.RAW)
    if stay is not None:
        stay.left_on = None
        stay.save(update_fields=["left_on"])
        batches.settle_state(stay.batch)
    late.refresh_skins(touched)
    return requests.keep(request_key, row)


def _lost(skin: Skin) -> Skin:
    """The row, locked; it must be lost, no job on it given up, and its day open."""
    row = skin_services.lock([skin.tag])[0]
    if row.lost_on is None:
        raise Refused(f"{row.tag} is not lost.", field="tag")
    job = Job.objects.filter(skin=row, given_up_on__isnull=False).first()
    if job is not None:
        raise Refused(
            f"{job.number} on {row.tag} is given up. Take that back first, on the page of the job.", field="tag"
        )
    checks.day(row.lost_on)
    return row


def _refuse_alone(row: Skin) -> None:
    if reads.if_spread(row) is None:
        raise NobodyLeft(row.tag)


def _refuse_followed(row: Skin, batch: Batch, on: date) -> None:
    """Work of later days was borne by the others alone; a skin that came back would change what is written."""
    uses = Use.objects.filter(batch=batch, posting__on__gt=on, posting__reversed_by__isnull=True)
    worked = LabourLine.objects.filter(batch=batch, on__gt=on, reverses__isnull=True, reversed_by__isnull=True)
    if uses.exists() or worked.exists():
        raise Refused(
            f"Work or materials are written on {batch} after {on}, without {row.tag}. Take these entries back first, "
            "or let the loss stand.",
            field="tag",
        )


def _step(row: Skin, on: date) -> str:
    """The step its batch was in: the last that ended that day, else the one that was open."""
    stay = BatchSkin.objects.filter(skin=row, left_on__isnull=True).select_related("batch__version").first()
    if stay is None or stay.batch.state == Batch.State.PLANNED:
        return ""
    return steps.where(stay.batch, on)
