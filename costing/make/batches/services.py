"""Batches: planned by a recipe version, changed and deleted as plans. What happens in them is written by other rooms."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from costing.make.batches.models import Batch
from costing.make.batches.stays.services import add_skins, checked_frames, hold
from costing.make.baths.services import millilitres, refuse_misfit
from costing.make.recipes.models import RecipeVersion
from inventory import units
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Place
from inventory.permits import Act, Person


@service(Act.SHED, makes=Batch)
def plan(
    *,
    number: str,
    version: RecipeVersion,
    start: date,
    litres: Decimal | None = None,
    tags: Sequence[str] = (),
    planned_skins: int = 0,
    share_by: str = Batch.ShareBy.HEAD,
    place: Place | None = None,
    frames: Place | None = None,
    note: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> Batch:
    """A new batch by a recipe version, which it keeps. Skins named join on the start day; `litres` of bath."""
    number = checks.new_code(number, "The batch number", Batch, field="number")
    checks.day(start, field="start", plan=True, posts=False)
    if litres is not None:
        checks.positive(litres, "The litres of bath", field="litres")
    if share_by not in Batch.ShareBy.values:
        raise Refused(f"Sharing {share_by!r} is not known; choose head, weight or area.", field="share_by")
    refuse_misfit(version, litres, place, planned_skins or len(tags))
    batch = Batch.objects.create(
        number=number,
        version=version,
        start=start,
        litres=None if litres is None else units.to_base(litres, "L", "mL"),
        planned_skins=planned_skins,
        share_by=share_by,
        place=place,
        frames=checked_frames(frames),
        note=checks.text(note, "The note", field="note", longest=200),
    )
    if tags:
        add_skins(batch, tags, start)
    return batch


@service(Act.SHED)
def change(
    *,
    batch: Batch,
    start: date,
    litres: Decimal | None,
    planned_skins: int,
    place: Place | None,
    frames: Place | None,
    note: str,
    by: Person = None,
) -> Batch:
    """Change the plan. Once something is in the bath its start stays; litres may still be put right."""
    row = Batch.objects.select_for_update(of=("self",)).get(pk=batch.pk)
    if start != row.start and row.state != Batch.State.PLANNED:
        raise Refused(f"{row.number} is in work since {row.start}; its start stays as it is.", field="start")
    checks.day(start, field="start", plan=True, posts=False)
    if start > row.start:
        row.stays.filter(joined_on__lt=start, left_on__isnull=True).update(joined_on=start)
    before = (row.litres, row.place)
    row.start = start
    row.litres = None if litres is None else millilitres(litres)
    row.planned_skins, row.place, row.frames = planned_skins, place, checked_frames(frames)
    if (row.litres, row.place) != before:
        refuse_misfit(row.version, litres, place, planned_skins)
    row.note = checks.text(note, "The note", field="note", longest=200)
    row.save()
    return row


@service(Act.SHED)
def cancel(*, batch: Batch, by: Person = None) -> None:
    """Drop a plan in which nothing has happened yet. A batch with entries stays: its story is in the books."""
    hold(batch)
    entries = (batch.uses, batch.labour, batch.marks, batch.readings, batch.sessions)
    if any(kind.exists() for kind in entries):
        raise Refused(
            f"{batch.number} has entries, so its plan cannot be deleted. Reverse its entries first, or keep the plan."
        )
    batch.stays.all().delete()
    batch.delete()
