"""Tags from records: a skin's, the frames' that a batch hangs on, and a frame's own number."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from costing.make.frames import selectors as frames_read
from costing.make.steps import selectors as steps
from costing.make.steps.schedule import Laid
from costing.models import Batch, Frame
from costing.report.skins import selectors as skin_reads
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Place, Skin
from workshop.documents.labels.tag import OWN, FrameLabel, FrameTag, SkinTag
from workshop.documents.records import shared


def skin_tags(tags: Sequence[str]) -> list[SkinTag]:
    """The tag of each skin in the books, own or a customer's."""
    rows = shared.called(Skin.objects.all(), "tag", tags, "There is no skin {}. Add it first, or check the tag.")
    return [_skin_tag(skin) for skin in rows]


def skin_tag(tag: str) -> SkinTag:
    return skin_tags([tag])[0]


def _skin_tag(skin: Skin) -> SkinTag:
    if skin.theirs and not skin.customer:
        raise Refused(
            f"{skin.tag} is a customer's, and no name is written down. Edit the skin, then print its tag.",
            field="customer",
        )
    return SkinTag(
        tag=skin.tag,
        species=skin.species,
        owner_mark=skin.customer if skin.theirs else OWN,
        date_in=skin.date_in,
        workshop=workshop.current().name,
    )


def frame_tags(batch: str) -> tuple[FrameTag, ...]:
    """What hangs on the frames of a batch: its skins, since when, and about when they can be softened.

    A tag for each numbered frame that holds a skin of it, coded with the frame's number; one for the skins on no numbered
    frame, coded with the batch's, for “Frames” is no number to look up.
    """
    row, today = shared.batch(batch), workshop.today()
    laid = _on_frame(row, today)
    frames = row.frames or (row.place if row.place and row.place.kind == Place.Kind.FRAME else None)
    if frames is None:
        raise Refused(
            f"No frames are named for {row.number}. Choose them in the batch's plan, then print the tag.",
            field="frames",
        )
    tags = shared.inside(row, today, laid.begins)
    if not tags:
        raise Refused(f"No skin is in {row.number}. Let its skins join first, then print the tag.", field="skins")
    numbered = {lacing.skin.tag: lacing for lacing in frames_read.still_on().filter(skin__tag__in=tags)}
    rest = tuple(tag for tag in tags if tag not in numbered)
    common = FrameTag(
        frame=frames.name,
        skins=rest,
        batch=row.number,
        up_on=laid.begins,
        ready_about=(_ready(row, rest) or laid.due) if rest else None,
        workshop=workshop.current().name,
        code=row.number,
    )
    own = [
        replace(
            common,
            frame=lacing.frame.number,
            skins=(tag,),
            up_on=lacing.line.on,
            ready_about=_ready(row, (tag,)) or laid.due,
            code=lacing.frame.number,
        )
        for tag, lacing in sorted(numbered.items(), key=lambda one: one[1].frame.number)
    ]
    return (*own, common) if rest else tuple(own)


def frame_labels(numbers: Sequence[str]) -> list[FrameLabel]:
    """Frames by their own numbers."""
    found = Frame.objects.select_related("place")
    rows = shared.called(found, "number", numbers, "There is no frame {}. Frames are listed under Batches.")
    maker = workshop.current().name
    return [FrameLabel(row.number, row.place.name if row.place else "", row.note, maker) for row in rows]


def frame_label(number: str) -> FrameLabel:
    return frame_labels([number])[0]


def _on_frame(row: Batch, today: date) -> Laid:
    found = next((laid for laid in steps.laid(row, today) if laid.step.uses == "frame"), None)
    if found is None:
        raise Refused(
            f"{row.version} has no step that uses frames, so there is no day to print. Write the step into a new version "
            "of the recipe.",
            field="batch",
        )
    if found.skipped:
        raise Refused(f"{row.number} skipped “{found.step.name}”, so nothing hangs on frames.", field="batch")
    return found


def _ready(row: Batch, tags: tuple[str, ...]) -> date | None:
    """The first day on which one of the skins can be softened by its own weighings, where these tell it."""
    skins = [stay.skin for stay in row.stays.all() if stay.skin.tag in tags]
    windows = (row.window for row in skin_reads.dryings(skins))
    return min((window.begins.date() for window in windows if window), default=None)
