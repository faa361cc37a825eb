"""Which skin went on which frame: named for a line of work that laced, and taken off again."""

from collections.abc import Mapping
from datetime import date

from costing.make.cost import services as cost
from costing.make.frames import selectors as frames
from costing.make.frames.lacings import selectors as lacings
from costing.make.frames.models import Frame, Lacing
from costing.make.labour.models import LabourLine
from costing.make.vessels import services as vessels
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Skin
from inventory.permits import Act, Person
from inventory.skins import services as skins


@service(Act.SHED, makes=LabourLine)
def name(
    *, line: LabourLine, on_frames: Mapping[str, str], by: Person = None, request_key: str | None = None
) -> LabourLine:
    """Say which skin (by tag) was laced to which frame (by number; empty: to none that is named) in a line of work.

    A named frame bears the wear of that lacing instead of the workshop's rate. A skin comes off the frame that it was on.
    """
    # Skins before everything else, as everywhere: naming moves them.
    skins.lock(sorted(lacings.bearers(line)))
    row = LabourLine.objects.select_for_update(of=("self",)).get(pk=line.pk)
    if not row.laced or row.reverses_id or hasattr(row, "reversed_by"):
        raise Refused("Frames are named for work that laced skins, and was not reversed.", field="frames")
    bearers = lacings.bearers(row)
    known = {frame.number: frame for frame in Frame.objects.select_for_update(of=("self",)).order_by("pk")}
    wanted: dict[Skin, Frame] = {}
    for tag, number in on_frames.items():
        skin = bearers.get(tag)
        if skin is None:
            raise Refused(f"{tag} was not laced in this entry of {row.on}.", field=tag)
        if number:
            wanted[skin] = _known(known, number, tag)
    twice = [frame for frame in wanted.values() if list(wanted.values()).count(frame) > 1]
    if twice:
        raise Refused(f"{twice[0]} is named twice, and holds one skin.", field="frames")
    before = {lacing.skin_id: lacing for lacing in row.lacings.all()}
    moved = {lacing.frame for lacing in before.values()} | set(wanted.values())
    for lacing in before.values():
        lacing.delete()
    for skin, frame in wanted.items():
        _put_on(row, skin, frame)
    for frame in sorted(moved, key=lambda frame: frame.pk):
        cost.refresh_frame(frame)
    cost.refresh(row.batch, list(bearers.values()))
    vessels.settle(bearers.values(), row.on, by, undone=bool(before))
    return row


@service(Act.SHED)
def take_off(*, lacing: Lacing, on: date, by: Person = None) -> Lacing:
    """The skin comes off its frame; the frame is free from that day."""
    row = Lacing.objects.select_for_update(of=("self",)).select_related("line", "skin", "frame").get(pk=lacing.pk)
    checks.day(on, posts=False)
    if on < row.line.on:
        raise Refused(f"{row.skin} was laced to {row.frame} on {row.line.on}; it cannot come off before.", field="on")
    if row.off_on is not None:
        raise Refused(f"{row.skin} came off {row.frame} on {row.off_on} already.", field="on")
    row.off_on = on
    row.save(update_fields=["off_on"])
    vessels.settle([row.skin], on, by)
    return row


def _known(known: Mapping[str, Frame], number: str, field: str) -> Frame:
    if number not in known:
        raise Refused(f"There is no frame {number}. Frames are listed under Batches.", field=field)
    return known[number]


def _put_on(line: LabourLine, skin: Skin, frame: Frame) -> None:
    on = line.on
    if on < frame.made_on:
        raise Refused(f"{frame} was made on {frame.made_on}; nothing was laced to it on {on}.", field=skin.tag)
    if frame.broken_on is not None and on > frame.broken_on:
        raise Refused(f"{frame} broke on {frame.broken_on}. Name another frame.", field=skin.tag)
    # One that was laced later was free again by then, so that an entry may be written late.
    before = frames.standing().filter(frame=frame, line__on__lte=on).last()
    if before is not None and before.skin_id != skin.pk:
        end, other = lacings.ended(before), before
        if end is None or end > on:
            raise Refused(
                f"{frame} holds {other.skin} since {other.line.on}. Take it off first, or name another frame.",
                field=skin.tag,
            )
    Lacing.objects.create(line=line, skin=skin, frame=frame)
