"""Materials issued to a batch, straight to skins or into a frame, and put back on the shelf; the costs follow."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal

from costing.make.batches.models import Batch, PlannedAmount, Use
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.services import millilitres, refuse_misfit
from costing.make.batches.stays.services import (
    begin_late,
    begun,
    hold,
    hold_skins,
    refuse_unfit,
    refuse_unmeasured,
    tags_in,
)
from costing.make.baths.chemistry import substitution
from costing.make.cost import services as cost
from costing.make.frames.models import Frame
from costing.make.recipes.models import RecipeLine
from costing.make.recipes.rules import BY_BATH
from costing.make.vessels import services as vessels
from inventory.base import checks, selectors as workshop
from inventory.base.chain import services as chain
from inventory.base.services import refuse_late, service
from inventory.errors import Refused, each_row, in_row
from inventory.ledger import services as ledger
from inventory.materials.services import to_base
from inventory.models import Kind, Material, Posting, Skin
from inventory.permits import Act, Person, author
from inventory.skins import services as skins_services


@dataclass(frozen=True)
class Amount:
    """What really goes in: a typed measure, the recipe's `line` that it is put in for, and what that asks (base unit), if known."""

    material: Material
    quantity: Decimal
    unit: str
    planned: Decimal | None = None
    line: RecipeLine | None = None


@service(Act.SHED, makes=Use)
def issue(
    *,
    batch: Batch | None,
    on: date | None = None,
    at: datetime | None = None,
    amounts: Sequence[Amount],
    tags: Sequence[str] = (),
    by: Person = None,
    reason: str = "",
    request_key: str | None = None,
    litres: Decimal | None = None,
    keeps_start: bool = False,
    share_by: str = "",
    frame: Frame | None = None,
) -> Use:
    """Take materials from the shelf on a day, or at the moment of a tap, for a batch, straight for named skins, or for a frame.
    Costs go to the named skins, else to those in the batch on the day; those of a frame to the skins laced to it. Short
    stock refuses the whole and says what size of bath the shelf allows.

    `litres`: the bath decided on at the tub, which the batch has from then on. A plan whose first step lasts begins on the
    day that its first entry puts something in, where that is later than planned; `keeps_start`: its start is known.

    `share_by`: how this entry is shared (salt by the weight it is rubbed on); empty: as the batch, and without one by head."""
    on = checks.tapped(on, at)
    skins = hold_skins(batch, tags)
    if not keeps_start:
        begin_late(batch, on)
    if frame is None:
        refuse_unfit(batch, skins, on)
        _refuse_sharing(share_by, batch, skins, on)
    else:
        _refuse_beside(frame, batch, skins, on)
    _size(batch, litres, amounts)
    _refuse_other_lines(batch, amounts)
    draws = each_row(amounts, _draw)
    posting = ledger.issue(kind=Kind.USE, on=on, draws=draws, by=by, reason=reason, also=lambda: _smaller_bath(batch))
    use = Use.objects.create(posting=posting, batch=batch, share_by=share_by, frame=frame)
    if skins:
        use.skins.set(skins)
    if any(amount.planned is not None or amount.line is not None for amount in amounts):
        _plan(posting, amounts)
    begun(batch)
    _refresh(use, skins)
    vessels.follow(batch, on, by)
    return use


@chain.together()
def reverse(
    *, use: Use, reason: str, on: date | None = None, by: Person = None, request_key: str | None = None
) -> Posting:
    """Put the materials of a use back on the shelf by a linked reversal; the costs leave the skins again."""
    back = ledger.reverse(posting=use.posting, by=by, reason=reason, on=on, request_key=request_key)
    _refresh(use, list(use.skins.all()))
    vessels.follow(use.batch, back.on, by, undone=True)
    return back


@service(Act.SHED, makes=Use)
def correct(
    *,
    use: Use,
    batch: Batch | None,
    on: date,
    amounts: Sequence[Amount],
    tags: Sequence[str] = (),
    share_by: str = "",
    wrong: str,
    reason: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> Use:
    """What was used was another thing, another measure, or went into another batch: it is reversed, because of what was
    `wrong`, and what is true is entered, both or neither. `reason` is the note of the new entry.

    It is reversed on its own day, or on `on` where that is closed. An amount keeps the line that it was put in for while the
    batch is of that recipe and the material of that kind; else its line is asked for again.
    """
    if use.frame is not None:
        raise Refused(f"This went into {use.frame}. Reverse it on the page of the frame, and enter it anew there.")
    closed, day = workshop.current().closed_to, use.posting.on
    named = (skin.tag for skin in use.skins.all())
    skins_services.lock(sorted({*tags, *named, *tags_in(use.batch), *tags_in(batch)}))
    for each in sorted({row for row in (use.batch, batch) if row is not None}, key=lambda row: row.pk):
        hold(each)
    moved = [movement.material for movement in use.posting.movements.select_related("material")]
    ledger.lock([*moved, *(amount.material for amount in amounts)])
    reverse(use=use, reason=wrong, on=on if closed and day <= closed else day, by=by)
    kept = [amount if _fits_its_line(batch, amount) else replace(amount, line=None, planned=None) for amount in amounts]
    return issue(
        batch=batch,
        on=on,
        amounts=kept,
        tags=tags,
        share_by=share_by,
        reason=reason,
        by=by,
        keeps_start=batch == use.batch,
    )


@service(Act.SHED)
def undo(*, use: Use, by: Person = None) -> Posting:
    """Reverse what one's own hand wrote a moment ago. After the ten seconds: `reverse`, from the batch's page."""
    if use.posting.written_by != author(by):
        raise Refused("Somebody else wrote this entry. Reverse it on the batch's page instead.")
    refuse_late(use.posting.written_at)
    return reverse(use=use, reason="Undone at once", on=use.posting.on, by=by)


def _refuse_sharing(share_by: str, batch: Batch | None, skins: Sequence[Skin], on: date) -> None:
    if not share_by:
        return
    checks.choice(share_by, Batch.ShareBy.values, "sharing", field="share_by")
    there = batch.stays.select_related("skin") if batch and not skins else []
    refuse_unmeasured(share_by, [*skins, *(stay.skin for stay in there if stay.covers(on))], "The entry")


def _refresh(use: Use, skins: Sequence[Skin]) -> None:
    if use.frame is None:
        cost.refresh(use.batch, skins)
    else:
        cost.refresh_frame(use.frame)


def _refuse_beside(frame: Frame, batch: Batch | None, skins: Sequence[Skin], on: date) -> None:
    """What goes into a frame goes into nothing else, and not before the frame was begun."""
    if batch is not None or skins:
        raise Refused(f"What goes into {frame} goes into no batch and on no skin. Enter it apart.", field="frame")
    if on < frame.made_on:
        raise Refused(f"{frame} was made on {frame.made_on}; nothing went into it on {on}.", field="on")


def _refuse_other_lines(batch: Batch | None, amounts: Sequence[Amount]) -> None:
    """A line is of the batch's own recipe version, and what is put in for it is of its kind."""
    for row, line in ((row, amount.line) for row, amount in enumerate(amounts) if amount.line is not None):
        with in_row(row):
            if batch is None or line.version_id != batch.version_id:
                raise Refused("The line is not one of the batch's own recipe version.", field="line")
            if not _fits_its_line(batch, amounts[row]):
                name = amounts[row].material.name
                raise Refused(f"{name} cannot take the place of {line.material.name}.", field="line")


def _fits_its_line(batch: Batch | None, amount: Amount) -> bool:
    """Whether it can stand for the line it is put in for: of the batch's recipe version, and of its kind."""
    line, kin = amount.line, substitution.family(amount.material.substance)
    if line is None or batch is None or line.version_id != batch.version_id:
        return False
    return amount.material.pk == line.material_id or (bool(kin) and kin == substitution.family(line.material.substance))


def _plan(posting: Posting, amounts: Sequence[Amount]) -> None:
    """What the recipe asked for, beside what went in."""
    for amount, movement in zip(amounts, posting.movements.order_by("pk"), strict=True):
        if amount.planned is not None or amount.line is not None:
            PlannedAmount.objects.create(movement=movement, quantity=amount.planned, line=amount.line)


def _smaller_bath(batch: Batch | None) -> str:
    """The way out of a shelf that is short for a bath."""
    if batch is None:
        return ""
    allowed = requirements.shelf_allows(batch.version, batch.version.lines.select_related("material"))
    return f", or make a smaller bath: the shelf allows {allowed.words()}" if allowed else ""


def _draw(amount: Amount) -> ledger.Draw:
    typed = checks.positive(amount.quantity, f"The quantity of {amount.material.name}", field="quantity")
    taken = to_base(amount.material, typed, amount.unit)
    return ledger.Draw(amount.material, taken, f"{typed.normalize():f} {amount.unit}")


def _size(batch: Batch | None, litres: Decimal | None, amounts: Sequence[Amount]) -> None:
    """The bath has the litres decided on now, and its tub must hold them whenever something of the bath goes in."""
    if batch is None:
        return
    if litres is not None and (held := millilitres(litres)) != batch.litres:
        batch.litres = held
        batch.save(update_fields=["litres"])
    if not batch.litres:
        return
    lines = RecipeLine.objects.filter(version=batch.version_id, basis__in=BY_BATH)
    poured = set(lines.values_list("material", flat=True))
    if any(amount.material.pk in poured for amount in amounts):
        heads = max(batch.planned_skins, batch.stays.count())
        refuse_misfit(batch.version, batch.litres / requirements.ML_PER_LITRE, batch.place, heads)
