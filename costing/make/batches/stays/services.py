"""Skins join a batch and leave it, and the batch goes from planned to in work to done with them."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date

from django.db.models import Q

from costing.make.batches.models import Batch, BatchSkin, StruckStay
from costing.make.batches.stays.selectors import first_day, named
from costing.make.cost import services as cost
from costing.make.frames.lacings import selectors as lacings
from costing.make.labour.sessions.models import SessionSkin
from costing.make.vessels import services as vessels
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Place, Skin
from inventory.permits import Act, Person, author
from inventory.skins import services as skins_services

_unseen: ContextVar[bool] = ContextVar("whether nobody else can see what is written", default=False)


@contextmanager
def unseen() -> Iterator[None]:
    """Within this block nobody else sees a batch or its skins: a folder that is loaded in one transaction. Who is in a batch is not
    read only to be locked."""
    token = _unseen.set(True)
    try:
        yield
    finally:
        _unseen.reset(token)


@service(Act.SHED, makes=Batch)
def join(*, batch: Batch, tags: Sequence[str], on: date, by: Person = None, request_key: str | None = None) -> Batch:
    """Skins go into the batch on a day and share its costs from then on."""
    hold_skins(batch, tags)
    checks.day(on, plan=batch.state == Batch.State.PLANNED, posts=False)
    if not tags:
        raise Refused("No skin was chosen. Tick at least one.", field="skins")
    add_skins(batch, tags, on)
    cost.refresh_batch(batch)
    vessels.follow(batch, on, by)
    return batch


@service(Act.SHED, makes=BatchSkin)
def leave(
    *, batch: Batch, skin: Skin, on: date, to: Place | None = None, by: Person = None, request_key: str | None = None
) -> BatchSkin:
    """A skin is taken out of the batch, alive: the day counts, later costs do not. It may join another batch.

    `to`: where it goes; else back where it was before the tub or the frames. Nothing has happened in a planned batch, so
    there the skin is only crossed off the list, on whatever day.
    """
    skins_services.lock([skin.tag])
    hold(batch)
    stay = batch.stays.filter(skin=skin, left_on__isnull=True).first()
    if stay is None:
        raise Refused(f"{skin.tag} is not in {batch.number} now.", field="skin")
    if batch.state != Batch.State.PLANNED:
        checks.day(on, posts=False)
        refuse_named_after(skin, on)
    for left in end_stays(skin, on):
        stay.left_on = on
        cost.refresh_batch(left)
        vessels.out(skin, to, on, by)
    return stay


def hold_skins(batch: Batch | None, tags: Sequence[str] = ()) -> list[Skin]:
    """These skins, those that are in the batch, then the batch, all locked: for entries that may begin it or move its skins.
    Answers the skins of `tags`, in their order."""
    there = [] if _unseen.get() else tags_in(batch)
    locked = {skin.tag: skin for skin in skins_services.lock(sorted({*tags, *there}))}
    hold(batch)
    return [locked[tag] for tag in tags]


def tags_in(batch: Batch | None) -> list[str]:
    """Who is in it now."""
    return [] if batch is None else list(batch.stays.filter(left_on__isnull=True).values_list("skin__tag", flat=True))


@service(Act.SHED, makes=StruckStay)
def strike(
    *, batch: Batch, skin: Skin, on: date, reason: str, by: Person = None, request_key: str | None = None
) -> StruckStay:
    """The skin was never in the batch: what it had borne there goes to those who were. Its stay is kept as struck.

    From `on` everything is worked out without it; what is told of days before stays as it was.
    """
    row = skins_services.lock([skin.tag])[0]
    hold(batch)
    checks.day(on)
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    stay = batch.stays.filter(skin=row).first()
    if stay is None:
        raise Refused(f"{row.tag} is not written as having been in {batch.number}.")
    _refuse_bound(batch, row, stay, on)
    days = {"joined_on": stay.joined_on, "left_on": stay.left_on}
    struck = StruckStay.objects.create(batch=batch, skin=row, on=on, reason=reason, written_by=author(by), **days)
    stay.delete()
    refuse_astray(batch)
    settle_state(batch)
    begun_elsewhere = row.stays.exclude(batch__state=Batch.State.PLANNED).exists()
    if row.stage == Skin.Stage.IN_WORK and not begun_elsewhere and not row.parts.exists():
        skins_services.set_stage(row, Skin.Stage.RAW)
    cost.refresh_skins([row.pk, *batch.stays.values_list("skin", flat=True)])
    vessels.settle([row], on, by)
    return struck


def _refuse_bound(batch: Batch, skin: Skin, stay: BatchSkin, on: date) -> None:
    """What only a skin in the batch can bear is put right first, and somebody must be left to bear the rest."""
    if batch.state == Batch.State.PLANNED:
        raise Refused(f"Nothing happened in {batch.number} yet. Take {skin.tag} out of it instead.")
    if skin.lost_on and skin.lost_on == stay.left_on:
        raise Refused(f"{skin.tag} was lost in {batch.number} on {skin.lost_on}. Reverse its loss first, on its page.")
    if told := named(batch, skin):
        raise Refused(told)
    if SessionSkin.objects.filter(session__batch=batch, skin=skin, running=True).exists():
        raise Refused(f"A timer runs for {skin.tag} in {batch.number}. Stop or drop it first.")
    if not batch.stays.exclude(skin=skin).exists():
        raise Refused(
            f"No other skin was in {batch.number} to bear what was used there. Put in those that were, or correct its entries "
            "onto the right batch."
        )
    if on < (first := first_day(batch, skin, stay)):
        raise Refused(
            f"{skin.tag} is in {batch.number} from {first}, as the entries say. Choose that day or a later one.",
            field="on",
        )


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
        raise Refused(f"{batch.number} was deleted meanwhile. Open the batches again.") from None


def begin_late(batch: Batch | None, on: date) -> None:
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


def refuse_unfit(
    batch: Batch | None, skins: Sequence[Skin], on: date, joined: Mapping[int, date] | None = None
) -> None:
    """Named skins must be able to bear a cost on `on`: in this batch by then, and not lost before. `joined` (by skin), where many
    entries ask and it was read for all."""
    if batch is None and not skins:
        raise Refused("Name a batch or at least one skin.", field="skins")
    for skin in skins:
        if skin.lost_on and on > skin.lost_on:
            raise Refused(f"{skin.tag} was lost on {skin.lost_on}; it takes no cost after that day.", field="skins")
        if on < skin.date_in:
            raise Refused(f"{skin.tag} came in on {skin.date_in}, after {on}. Check the date.", field="on")
    if batch is None or not skins:
        return
    if joined is None:
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
        refuse_astray(stay.batch)
        settle_state(stay.batch)
        ended.append(stay.batch)
    return ended


def refuse_named_after(skin: Skin, on: date) -> None:
    """A skin cannot leave before work that was written on it by name."""
    used = skin.uses.filter(posting__on__gt=on, posting__reversed_by__isnull=True)
    worked = skin.labour.filter(Q(on__gt=on), reverses__isnull=True, reversed_by__isnull=True)
    if used.exists() or worked.exists():
        raise Refused(
            f"Work or materials are written on {skin.tag} after {on}. Choose a later day, or reverse these entries first.",
            field="on",
        )


def refuse_astray(batch: Batch) -> None:
    """Who comes and goes changes whom work on the whole batch laced; a skin that was named to a frame stays among them."""
    if batch.state != Batch.State.PLANNED and (row := lacings.astray(batch)):
        raise Refused(
            f"{row.skin} was laced to {row.frame} on {row.line.on}, by work on {batch}. Choose a day that leaves it there, "
            "or name no frame for it in that work first.",
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
    """A batch in work that had skins and has none left is done; one that has some again is not."""
    stays = batch.stays.all()
    there = any(stay.left_on is None for stay in stays)
    state = Batch.State.IN_WORK if there else Batch.State.DONE
    if stays and batch.state not in (Batch.State.PLANNED, state):
        batch.state = state
        batch.save(update_fields=["state"])


def add_skins(batch: Batch, tags: Sequence[str], on: date) -> None:
    if len(set(tags)) != len(tags):
        raise Refused("The same skin is named twice.", field="skins")
    if on < batch.start:
        raise Refused(f"{batch.number} starts on {batch.start}; a skin cannot join before.", field="on")
    skins = skins_services.lock(list(tags))
    stays = defaultdict(list)
    for stay in BatchSkin.objects.filter(skin__in=skins).select_related("batch"):
        stays[stay.skin_id].append(stay)
    for skin in skins:
        if skin.stage in (Skin.Stage.FINISHED, Skin.Stage.LOST):
            raise Refused(f"{skin.tag} is {skin.get_stage_display().lower()} and cannot join a batch.", field="skins")
        if on < skin.date_in:
            raise Refused(f"{skin.tag} came in on {skin.date_in}, after {on}.", field="skins")
        if here := next((stay for stay in stays[skin.pk] if stay.left_on is None), None):
            raise Refused(f"{skin.tag} is in {here.batch.number}. Take it out there first.", field="skins")
        if before := next((stay for stay in stays[skin.pk] if stay.left_on and stay.left_on > on), None):
            raise Refused(
                f"{skin.tag} was in {before.batch.number} until {before.left_on}. Choose that day or a later one.",
                field="on",
            )
        if any(stay.batch_id == batch.pk for stay in stays[skin.pk]):
            raise Refused(f"{skin.tag} was in {batch.number} before and left; plan a new batch for it.", field="skins")
        refuse_unmeasured(batch.share_by, [skin], batch.number)
        BatchSkin.objects.create(batch=batch, skin=skin, joined_on=on)
        if batch.state != Batch.State.PLANNED:
            skins_services.set_stage(skin, Skin.Stage.IN_WORK)
    refuse_astray(batch)
    settle_state(batch)


def refuse_unmeasured(share_by: str, skins: Iterable[Skin], what: str) -> None:
    """Whatever shares by weight or area needs that of each skin that is to bear it."""
    for skin in skins:
        if share_by == Batch.ShareBy.WEIGHT and not skin.green_weight:
            raise Refused(f"{what} shares by green weight and {skin.tag} has none. Weigh it first.", field="skins")
        if share_by == Batch.ShareBy.AREA and not (skin.wet_area or skin.dry_area):
            raise Refused(f"{what} shares by area and {skin.tag} has none. Measure it first.", field="skins")
