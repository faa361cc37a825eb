"""Batches: planned, joined and left by skins, and fed with materials by the frozen recipe version."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction
from django.db.models import Q

from costing.models import Batch, BatchSkin, PlannedAmount, RecipeVersion, Use
from costing.selectors import batches as read
from costing.selectors import baths
from costing.services import late
from inventory import units
from inventory.errors import Refused, Taken
from inventory.models import Kind, Material, Place, Posting, Skin
from inventory.services import checks, ledger, requests
from inventory.services import skins as skin_services
from inventory.services.materials import to_base
from inventory.services.permits import Act, Person, require


@dataclass(frozen=True)
class Amount:
    """What really goes in: a typed measure, and the recipe's amount (base unit) where there is one."""

    material: Material
    quantity: Decimal
    unit: str
    planned: Decimal | None = None


@transaction.atomic
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
    require(by, Act.SHED)
    if done := requests.earlier(request_key, Batch, "plan"):
        return done
    number = checks.code(number, "The batch number", field="number")
    if Batch.objects.filter(number__iexact=number).exists():
        raise Taken("The batch number", number, field="number")
    checks.day(start, field="start", plan=True, posts=False)
    if litres is not None:
        checks.positive(litres, "The litres of bath", field="litres")
    if share_by not in Batch.ShareBy.values:
        raise Refused(f"Sharing {share_by!r} is not known; choose head, weight or area.", field="share_by")
    _refuse_misfit(version, litres, place, planned_skins or len(tags))
    batch = Batch.objects.create(
        number=number,
        version=version,
        start=start,
        litres=None if litres is None else units.to_base(litres, "L", "mL"),
        planned_skins=planned_skins,
        share_by=share_by,
        place=place,
        frames=_frames(frames),
        note=checks.text(note, "The note", field="note", longest=200),
    )
    if tags:
        _join(batch, tags, start)
    return requests.keep(request_key, batch)


@transaction.atomic
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
    require(by, Act.SHED)
    row = Batch.objects.select_for_update(of=("self",)).get(pk=batch.pk)
    if start != row.start and row.state != Batch.State.PLANNED:
        raise Refused(f"{row.number} is in work since {row.start}; its start stays as it is.", field="start")
    checks.day(start, field="start", plan=True, posts=False)
    if start > row.start:
        row.stays.filter(joined_on__lt=start, left_on__isnull=True).update(joined_on=start)
    before = (row.litres, row.place)
    row.start = start
    row.litres = None if litres is None else _millilitres(litres)
    row.planned_skins, row.place, row.frames = planned_skins, place, _frames(frames)
    if (row.litres, row.place) != before:
        _refuse_misfit(row.version, litres, place, planned_skins)
    row.note = checks.text(note, "The note", field="note", longest=200)
    row.save()
    return row


@transaction.atomic
def cancel(*, batch: Batch, by: Person = None) -> None:
    """Drop a plan in which nothing has happened yet. A batch with entries stays: its story is in the books."""
    require(by, Act.SHED)
    hold(batch)
    entries = (batch.uses, batch.labour, batch.marks, batch.readings, batch.sittings)
    if any(kind.exists() for kind in entries):
        raise Refused(
            f"{batch.number} has entries, so it cannot be dropped. Take its entries back first, or let it stand."
        )
    batch.stays.all().delete()
    batch.delete()


@transaction.atomic
def join(*, batch: Batch, tags: Sequence[str], on: date, by: Person = None, request_key: str | None = None) -> Batch:
    """Skins go into the batch on a day and share its costs from then on."""
    require(by, Act.SHED)
    if done := requests.earlier(request_key, Batch, "join"):
        return done
    skin_services.lock(list(tags))
    hold(batch)
    checks.day(on, plan=batch.state == Batch.State.PLANNED, posts=False)
    if not tags:
        raise Refused("No skin was chosen. Tick at least one.", field="skins")
    _join(batch, tags, on)
    late.refresh_batch(batch)
    return requests.keep(request_key, batch)


@transaction.atomic
def leave(*, batch: Batch, skin: Skin, on: date, by: Person = None, request_key: str | None = None) -> BatchSkin:
    """A skin is taken out of the batch, alive: the day counts, later costs do not. It may join another batch.

    Nothing has happened in a planned batch, so there the skin is only crossed off the list, on whatever day.
    """
    require(by, Act.SHED)
    if done := requests.earlier(request_key, BatchSkin):
        return done
    skin_services.lock([skin.tag])
    hold(batch)
    stay = batch.stays.filter(skin=skin, left_on__isnull=True).first()
    if stay is None:
        raise Refused(f"{skin.tag} is not in {batch.number} now.", field="skin")
    if batch.state != Batch.State.PLANNED:
        checks.day(on, posts=False)
        refuse_named_after(skin, on)
    for left in end_stays(skin, on):
        stay.left_on = on
        late.refresh_batch(left)
    return requests.keep(request_key, stay)


@transaction.atomic
def put_in_work(
    *,
    batch: Batch | None,
    on: date,
    amounts: Sequence[Amount],
    tags: Sequence[str] = (),
    by: Person = None,
    reason: str = "",
    request_key: str | None = None,
    litres: Decimal | None = None,
    keeps_start: bool = False,
) -> Use:
    """Take materials from the shelf for a batch, or straight for named skins. Costs go to the named skins, else to those
    in the batch on the day. Short stock refuses the whole and says what size of bath the shelf allows.

    `litres`: the bath decided on at the tub, which the batch has from then on. A plan whose first step lasts begins on the
    day that its first entry puts something in, where that is later than planned; `keeps_start`: its start is known."""
    require(by, Act.SHED)
    if done := requests.earlier(request_key, Use):
        return done
    skins = skin_services.lock(list(tags))
    hold(batch)
    if not keeps_start:
        _begin_late(batch, on)
    refuse_unfit(batch, skins, on)
    _size(batch, litres, amounts)
    draws = [
        ledger.Draw(
            amount.material,
            to_base(
                amount.material,
                checks.positive(amount.quantity, f"The quantity of {amount.material.name}", field="quantity"),
                amount.unit,
            ),
            f"{amount.quantity.normalize():f} {amount.unit}",
        )
        for amount in amounts
    ]
    also = ""
    if batch is not None and (allowed := read.shelf_allows(batch.version)):
        also = f", or make a smaller bath: the shelf allows {allowed.words()}"
    posting = ledger.issue(kind=Kind.USE, on=on, draws=draws, by=by, reason=reason, also=also)
    use = Use.objects.create(posting=posting, batch=batch)
    use.skins.set(skins)
    for amount, movement in zip(amounts, posting.movements.order_by("pk"), strict=True):
        if amount.planned is not None:
            PlannedAmount.objects.create(movement=movement, quantity=amount.planned)
    begun(batch)
    late.refresh(batch, skins)
    return requests.keep(request_key, use)


@transaction.atomic
def take_back(
    *, use: Use, reason: str, on: date | None = None, by: Person = None, request_key: str | None = None
) -> Posting:
    """Put the materials of a use back on the shelf by a linked reversal; the costs leave the skins again."""
    back = ledger.reverse(posting=use.posting, by=by, reason=reason, on=on, request_key=request_key)
    late.refresh(use.batch, list(use.skins.all()))
    return back


def hold(batch: Batch | None) -> None:
    """The batch as it stands now, locked: its state and who is in it hold until the entry is written.

    Without it the first entry and a skin that joins at the same moment would miss each other. Skins are locked before
    batches and batches before materials, everywhere, so that nobody waits in a ring.
    """
    if batch is None:
        return
    try:
        batch.refresh_from_db(from_queryset=Batch.objects.select_for_update())
    except Batch.DoesNotExist:
        raise Refused(f"{batch.number} was dropped meanwhile. Open the batches again.") from None


def _begin_late(batch: Batch | None, on: date) -> None:
    """The start of a plan moves to the day it began on: days in a bath are counted from the mixing and not from the plan.

    A first step that lasts no days needs none of it: what follows is counted from the day that it is logged.
    """
    if batch is None or batch.state != Batch.State.PLANNED or on <= batch.start:
        return
    first = batch.version.steps.order_by("position").first()
    if first is None or not first.lasts_days:
        return
    batch.start = on
    batch.save(update_fields=["start"])
    batch.stays.filter(joined_on__lt=on, left_on__isnull=True).update(joined_on=on)


def _millilitres(litres: Decimal) -> Decimal:
    return units.to_base(checks.positive(litres, "The litres of bath", field="litres"), "L", "mL")


def _size(batch: Batch | None, litres: Decimal | None, amounts: Sequence[Amount]) -> None:
    """The bath has the litres decided on now, and its tub must hold them whenever something of the bath goes in."""
    if batch is None:
        return
    if litres is not None and (held := _millilitres(litres)) != batch.litres:
        batch.litres = held
        batch.save(update_fields=["litres"])
    poured = set(batch.version.lines.filter(basis="per_litre").values_list("material", flat=True))
    if batch.litres and any(amount.material.pk in poured for amount in amounts):
        heads = max(batch.planned_skins, batch.stays.count())
        _refuse_misfit(batch.version, batch.litres / read.ML_PER_LITRE, batch.place, heads)


def _refuse_misfit(version: RecipeVersion, litres: Decimal | None, place: Place | None, skins: int) -> None:
    """A bath must fit its tub with the room its froth needs; a tub that nobody measured is taken on trust."""
    if litres is not None and (refusal := baths.misfit(version, litres, place, skins=skins)):
        raise refusal


def refuse_unfit(batch: Batch | None, skins: Sequence[Skin], on: date) -> None:
    """Named skins must be able to bear a cost on `on`: in this batch by then, and not lost before."""
    if batch is None and not skins:
        raise Refused("Name a batch or at least one skin.", field="skins")
    for skin in skins:
        if skin.lost_on and on > skin.lost_on:
            raise Refused(f"{skin.tag} was lost on {skin.lost_on}; it takes no cost after that day.", field="skins")
        if on < skin.date_in:
            raise Refused(f"{skin.tag} came in on {skin.date_in}, after {on}. Check the date.", field="on")
    if batch is None:
        return
    joined = dict(batch.stays.filter(skin__in=skins).values_list("skin", "joined_on"))
    for skin in skins:
        if skin.pk not in joined or joined[skin.pk] > on:
            raise Refused(
                f"{skin.tag} is not in {batch.number} on {on}. Let it join first, or leave it out.", field="skins"
            )


def end_stays(skin: Skin, on: date) -> list[Batch]:
    """Whatever batch the skin is in, it leaves on that day, by whatever door. Answers the batches whose costs change.

    From a batch that is only planned it is crossed off: a stay without a day of work would still draw late costs.
    """
    ended = []
    for stay in skin.stays.select_related("batch").filter(left_on__isnull=True):
        hold(stay.batch)
        if stay.batch.state == Batch.State.PLANNED:
            stay.delete()
            continue
        if on < stay.joined_on:
            raise Refused(
                f"{skin.tag} joined {stay.batch.number} on {stay.joined_on}; choose that day or a later one.",
                field="on",
            )
        stay.left_on = on
        stay.save(update_fields=["left_on"])
        settle_state(stay.batch)
        ended.append(stay.batch)
    return ended


def refuse_named_after(skin: Skin, on: date) -> None:
    """A skin cannot leave before work that was written on it by name."""
    used = skin.uses.filter(posting__on__gt=on, posting__reversed_by__isnull=True)
    worked = skin.labour.filter(Q(on__gt=on), reverses__isnull=True, reversed_by__isnull=True)
    if used.exists() or worked.exists():
        raise Refused(
            f"Work or materials are written on {skin.tag} after {on}. Choose a later day, or take these entries back first.",
            field="on",
        )


def begun(batch: Batch | None) -> None:
    """The first entry puts the batch and its skins in work."""
    if batch is None or batch.state != Batch.State.PLANNED:
        return
    batch.state = Batch.State.IN_WORK
    batch.save(update_fields=["state"])
    Skin.objects.filter(stays__batch=batch, stays__left_on__isnull=True, stage=Skin.Stage.RAW).update(
        stage=Skin.Stage.IN_WORK
    )


def settle_state(batch: Batch) -> None:
    """A batch that had skins and has none left is done."""
    stays = batch.stays.all()
    there = sum(1 for stay in stays if stay.left_on is None)
    if batch.state == Batch.State.IN_WORK and stays and not there:
        batch.state = Batch.State.DONE
        batch.save(update_fields=["state"])
    elif batch.state == Batch.State.DONE and there:
        batch.state = Batch.State.IN_WORK
        batch.save(update_fields=["state"])


def _frames(place: Place | None) -> Place | None:
    if place is not None and place.kind != Place.Kind.FRAME:
        raise Refused(f"{place} is no set of frames. Choose a place of that kind, or set one up.", field="frames")
    return place


def _join(batch: Batch, tags: Sequence[str], on: date) -> None:
    if len(set(tags)) != len(tags):
        raise Refused("The same skin is named twice.", field="skins")
    if on < batch.start:
        raise Refused(f"{batch.number} starts on {batch.start}; a skin cannot join before.", field="on")
    for skin in skin_services.lock(list(tags)):
        if skin.stage in (Skin.Stage.FINISHED, Skin.Stage.LOST):
            raise Refused(f"{skin.tag} is {skin.get_stage_display().lower()} and cannot join a batch.", field="skins")
        if on < skin.date_in:
            raise Refused(f"{skin.tag} came in on {skin.date_in}, after {on}.", field="skins")
        here = skin.stays.filter(left_on__isnull=True).select_related("batch").first()
        if here:
            raise Refused(f"{skin.tag} is in {here.batch.number}. Take it out there first.", field="skins")
        before = skin.stays.filter(left_on__gt=on).select_related("batch").first()
        if before:
            raise Refused(
                f"{skin.tag} was in {before.batch.number} until {before.left_on}. Choose that day or a later one.",
                field="on",
            )
        if batch.stays.filter(skin=skin).exists():
            raise Refused(f"{skin.tag} was in {batch.number} before and left; plan a new batch for it.", field="skins")
        _refuse_unmeasured(batch, skin)
        BatchSkin.objects.create(batch=batch, skin=skin, joined_on=on)
        if batch.state != Batch.State.PLANNED:
            skin_services.set_stage(skin, Skin.Stage.IN_WORK)
    settle_state(batch)


def _refuse_unmeasured(batch: Batch, skin: Skin) -> None:
    if batch.share_by == Batch.ShareBy.WEIGHT and not skin.green_weight:
        raise Refused(f"{batch.number} shares by green weight and {skin.tag} has none. Weigh it first.", field="skins")
    if batch.share_by == Batch.ShareBy.AREA and not (skin.wet_area or skin.dry_area):
        raise Refused(f"{batch.number} shares by area and {skin.tag} has none. Measure it first.", field="skins")
