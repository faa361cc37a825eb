"""Batches: planned by a recipe version, changed and deleted as plans. What happens in them is written by other rooms."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from costing.make.batches.models import Batch
from costing.make.batches.stays.services import add_skins, hold
from costing.make.baths import selectors as baths
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
    if share_by not in Batch.ShareBy.values:
        raise Refused(f"Sharing {share_by!r} is not known; choose head, weight or area.", field="share_by")
    batch = Batch(number=number, version=version, share_by=share_by, planned_skins=planned_skins, frames=frames)
    _keep(batch, start, litres, place, note, heads=planned_skins or len(tags))
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
    if start > row.start:
        row.stays.filter(joined_on__lt=start, left_on__isnull=True).update(joined_on=start)
    row.planned_skins, row.frames = planned_skins, frames
    _keep(row, start, litres, place, note, heads=planned_skins)
    return row


def _keep(batch: Batch, start: date, litres: Decimal | None, place: Place | None, note: str, *, heads: int) -> None:
    """A plan new or changed, judged and saved; the tub is asked again only when it or the bath is another."""
    checks.day(start, field="start", plan=True, posts=False)
    before = (batch.litres, batch.place)
    batch.start, batch.litres, batch.place = start, None if litres is None else millilitres(litres), place
    if (batch.litres, batch.place) != before:
        refuse_misfit(batch.version, litres, place, heads)
    if batch.frames is not None and batch.frames.kind != Place.Kind.FRAME:
        raise Refused(
            f"{batch.frames} is no set of frames. Choose a place of that kind, or set one up.", field="frames"
        )
    batch.note = checks.text(note, "The note", field="note", longest=200)
    batch.save()


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


def millilitres(litres: Decimal) -> Decimal:
    return units.to_base(checks.positive(litres, "The litres of bath", field="litres"), "L", "mL")


def refuse_misfit(version: RecipeVersion, litres: Decimal | None, place: Place | None, skins: int) -> None:
    """A bath must fit its tub with the room its froth needs; a tub that nobody measured is taken on trust."""
    if litres is not None and (refusal := baths.misfit(version, litres, place, skins=skins)):
        raise refusal
