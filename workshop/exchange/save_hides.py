"""Rows of skins and of the batches they joined and left."""

from __future__ import annotations

from collections.abc import Iterator

from costing.models import Batch, BatchSkin, LabourLine, StepMark, Use
from inventory.models import Skin
from workshop.exchange import cells
from workshop.exchange.save_masters import Cells, FirstPlace, by


def skins(first_place: FirstPlace) -> Iterator[Cells]:
    for row in by(Skin.objects.select_related("place", "supplier"), "date_in", "tag"):
        yield {
            "tag": row.tag,
            "species": row.species,
            "sex_age": row.sex_age,
            "owner": row.owner,
            "customer": row.customer,
            "date_in": cells.day(row.date_in),
            "green_kg": cells.measure(row.green_weight, "kg"),
            "price": cells.coins(row.price) if row.owner == Skin.Owner.MINE else "",
            "supplier": row.supplier.name if row.supplier else "",
            "source": row.source,
            "defects": row.defects,
            "wet_dm2": cells.measure(row.wet_area, "dm2"),
            "dry_dm2": cells.measure(row.dry_area, "dm2"),
            "place": first_place(row),
        }


def batches() -> Iterator[Cells]:
    rows = Batch.objects.select_related("version__recipe", "place", "frames").prefetch_related(
        "stays__skin__parts__article", "stays__skin__stays"
    )
    worked = _worked()
    for row in by(rows, "start", "pk"):
        yield {
            "batch": row.number,
            "recipe": row.version.recipe.code,
            "version": str(row.version.number),
            "start": cells.day(row.start),
            "litres": cells.measure(row.litres, "L"),
            "planned_skins": str(row.planned_skins),
            "skins": " ".join(sorted(_stay(row, stay, worked=row.pk in worked) for stay in row.stays.all())),
            "share_by": row.share_by,
            "place": row.place.name if row.place else "",
            "frames": row.frames.name if row.frames else "",
            "note": row.note,
        }


def _worked() -> set[int]:
    """Batches with an entry that is saved. Without one, loading takes them for mere plans unless a skin's leaving is written."""
    uses = Use.objects.filter(posting__reverses__isnull=True, posting__reversed_by__isnull=True)
    labour = LabourLine.objects.filter(reverses__isnull=True, reversed_by__isnull=True)
    marks = StepMark.objects.filter(taken_back_at__isnull=True)
    return {pk for rows in (uses, labour, marks) for pk in rows.values_list("batch", flat=True) if pk}


def _stay(batch: Batch, stay: BatchSkin, *, worked: bool) -> str:
    """The tag, with its own days where they are not what the batch, a loss or the finished piece says already."""
    left = "" if stay.left_on is None or (worked and _left_by_itself(stay)) else f"..{stay.left_on}"
    if not left and stay.joined_on == batch.start:
        return stay.skin.tag
    return f"{stay.skin.tag}@{stay.joined_on}{left}"


def _left_by_itself(stay: BatchSkin) -> bool:
    """Whether loading the loss or the article makes the skin leave on this very day: then it is the last of its stays."""
    skin = stay.skin
    later = [other for other in skin.stays.all() if (other.joined_on, other.pk) > (stay.joined_on, stay.pk)]
    if later:
        return False
    if skin.stage == Skin.Stage.LOST:
        return stay.left_on == skin.lost_on
    if skin.stage != Skin.Stage.FINISHED:
        return False
    last = max(skin.parts.all(), key=lambda part: part.pk)
    return stay.left_on == last.article.finished_on
