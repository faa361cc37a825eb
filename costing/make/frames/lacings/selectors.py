"""Reads of lacings: whom a line of work laced, and until when a skin was on its frame."""

from datetime import date

from django.db.models import prefetch_related_objects

from costing.make.batches.models import Batch
from costing.make.cost import selectors as cost_read
from costing.make.cost.lines.rules import Line, takers
from costing.make.frames import selectors as frames
from costing.make.frames.models import Lacing
from costing.make.labour.models import LabourLine
from inventory.models import Skin

# At hand of many lines, `bearers` asks no more.
WHO_IS_CHARGED = ("skins", "batch__stays__skin")


def bearers(line: LabourLine) -> dict[str, Skin]:
    """By tag, in their order: the skins that are charged a lacing by the line, as its cost is shared."""
    prefetch_related_objects([line], *WHO_IS_CHARGED)
    named = {skin.tag: skin for skin in sorted(line.skins.all(), key=lambda skin: skin.tag)}
    if line.batch is None:
        return named
    rows = sorted(line.batch.stays.all(), key=lambda stay: stay.skin.tag)
    stays = cost_read.as_stays(line.batch.share_by, rows)
    taken = takers(stays, Line("own_time", line.on, skins=tuple(named)))
    found: set[str] = {stay.skin for stay in taken}
    return {row.skin.tag: row.skin for row in rows if row.skin.tag in found}


def astray(batch: Batch) -> Lacing | None:
    """A lacing by work on the batch that stands, on a skin which that work is not on as the stays are now; None: there is none."""
    rows = list(frames.standing().filter(line__batch=batch))
    prefetch_related_objects([row.line for row in rows], *WHO_IS_CHARGED)
    return next((row for row in rows if row.skin.tag not in bearers(row.line)), None)


def ended(lacing: Lacing) -> date | None:
    """The day on which a skin came off: as said, or laced elsewhere, finished or lost, what came first; None while it is on."""
    skin = lacing.skin
    own = list(frames.standing().filter(skin=skin))
    after = [each.line.on for each in own if (each.line.on, each.pk) > (lacing.line.on, lacing.pk)]
    days = [lacing.off_on, skin.lost_on, *after]
    if skin.stage == Skin.Stage.FINISHED:
        days += [part.article.finished_on for part in skin.parts.select_related("article")]
    return min((day for day in days if day is not None), default=None)


def offered() -> list[tuple[str, str]]:
    """Whole frames to choose from, each with the skin that is on it."""
    held = {lacing.frame_id: lacing.skin.tag for lacing in frames.still_on()}
    return [
        (frame.number, f"{frame.number} (holds {held[frame.pk]})" if frame.pk in held else frame.number)
        for frame in frames.whole()
    ]
