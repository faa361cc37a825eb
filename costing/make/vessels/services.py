"""Location follows the work: skins go into the tub and onto the frames with their batch's steps, and back where they were.

Services that write such work call this inside theirs. It moves nothing that moved on a later day, and nothing while a folder
is loaded, which tells each move itself.
"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date

from costing.make.batches.models import Batch, BatchSkin
from costing.make.frames import selectors as frames
from costing.make.recipes.rules import BY_BATH
from costing.make.steps import schedule, selectors as steps
from costing.make.vessels import rules
from inventory.models import Move, Movement, Place, Skin
from inventory.permits import Person, author
from inventory.places.moves import selectors as moves_read, services as moves

_told: ContextVar[bool] = ContextVar("whether each move is told by itself", default=False)
_VESSELS = (Place.Kind.TUB, Place.Kind.FRAME)


@contextmanager
def moves_told() -> Iterator[None]:
    """Within this block nothing moves with the work: a folder that is loaded tells its moves."""
    held = _told.set(True)
    try:
        yield
    finally:
        _told.reset(held)


def follow(batch: Batch | None, on: date, by: Person, *, undone: bool = False) -> None:
    """After an entry on a batch in work: its skins are where its open step has them. `undone`: an entry was reversed, and the
    move that came with it on that day never was."""
    if _told.get() or batch is None or batch.state == Batch.State.PLANNED:
        return
    there = BatchSkin.objects.filter(batch=batch, left_on__isnull=True, joined_on__lte=on).values("skin")
    # Whoever holds one of them waits for the batch, which is held here, and brings it along himself: to wait for him is a deadlock.
    free = Skin.objects.select_for_update(skip_locked=True, of=("self",)).filter(pk__in=there)
    settle(free.select_related("place").order_by("pk"), on, by, undone=undone)


def settle(skins: Iterable[Skin], on: date, by: Person, *, undone: bool = False) -> None:
    """Each of these skins goes to the frame that was named for it, else to the tub or the frames of its batch, else back."""
    wanted = list(skins)
    if _told.get() or not wanted:
        return
    laced = {
        lacing.skin_id: lacing for lacing in frames.still_on().filter(skin__in=wanted).select_related("frame__place")
    }
    off = set(frames.standing().filter(skin__in=wanted, off_on__lte=on).values_list("skin", flat=True)) - laced.keys()
    stays = BatchSkin.objects.filter(skin__in=wanted, left_on__isnull=True).exclude(batch__state=Batch.State.PLANNED)
    batches = {stay.skin_id: stay.batch for stay in stays.select_related("batch__place", "batch__frames")}
    held = {batch.pk: (batch.number, _place(batch, on)) for batch in set(batches.values())}
    for skin in wanted:
        number, place = held[batches[skin.pk].pk] if skin.pk in batches else ("", None)
        if skin.pk in laced and laced[skin.pk].frame.place is not None:
            place, number = laced[skin.pk].frame.place, f"frame {laced[skin.pk].frame}"
        elif skin.pk in off and place is not None and place.kind == Place.Kind.FRAME:
            place = None
        _bring(skin, place, on, number, by, undone=undone)


def out(skin: Skin, to: Place | None, on: date, by: Person) -> None:
    """A skin was taken out of its batch: it goes where that was said, else back where it was before the tub or the frame."""
    if not _told.get():
        _bring(skin, to, on, "taken out", by, undone=False)


def _place(batch: Batch, on: date) -> Place | None:
    """The tub or the frames that hold the batch's skins on a day; none while they are in neither."""
    plan = steps.as_steps(batch.version.steps.all(), heads=0)
    used = Movement.objects.filter(posting__use__batch=batch, posting__reversed_by__isnull=True, on__lte=on)
    tub = batch.place if batch.place is not None and batch.place.kind == Place.Kind.TUB else None
    if not plan:
        poured = batch.version.lines.filter(basis__in=BY_BATH).values("material")
        return tub if used.filter(material__in=poured).exists() else None
    laid = schedule.lay_out(plan, batch.start, steps.standing_marks(batch, on), today=on)
    open_ = next((each.step.key for each in laid if each.ended is None), "")
    filled = used.filter(planned__line__step__name=open_).exists()
    match rules.vessel(laid, on, filled=filled):
        case "tub":
            return tub
        case "frame":
            return batch.frames
        case _:
            return None


def _bring(skin: Skin, place: Place | None, on: date, note: str, by: Person, *, undone: bool) -> None:
    walked = list(moves_read.of(skin))
    last = walked[-1] if walked else None
    here = last.to if last else skin.place
    if place is None:
        if here is None or here.kind not in _VESSELS or last is None:
            return
        place = _before(walked)
    if place == here or (last is not None and last.on > on) or on < skin.date_in:
        return
    if undone and last is not None and last.on == on and last.origin == place:
        moves.reverse(move=last, by=by)
    else:
        moves.shift(thing=skin, to=place, on=on, note=note, writer=author(by))


def _before(walked: list[Move]) -> Place | None:
    """Where a skin was before it went into the tub or onto a frame, however often it changed between them."""
    for move in reversed(walked):
        if move.origin is None or move.origin.kind not in _VESSELS:
            return move.origin
    return walked[0].origin
