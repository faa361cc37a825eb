"""Rows of steps, of what was logged of them, and of readings; what was taken back is left out."""

from __future__ import annotations

from collections.abc import Iterator

from costing.models import Reading, RecipeStep, Sitting, StepMark
from workshop.exchange import cells
from workshop.exchange.save_masters import Cells, by


def steps() -> Iterator[Cells]:
    rows = RecipeStep.objects.select_related("version__recipe")
    for row in by(rows, "version.recipe.code", "version.number", "position"):
        yield {
            "recipe": row.version.recipe.code,
            "version": str(row.version.number),
            "name": row.name,
            "task": row.task,
            "wait_days": cells.whole(row.wait_days),
            "lasts_days": cells.whole(row.lasts_days),
            "grace_days": cells.whole(row.grace_days),
            "every_days": cells.whole(row.every_days),
            "repeat": row.repeat,
            "minutes": cells.whole(row.minutes),
            "minutes_per_skin": cells.whole(row.minutes_per_skin),
            "repeat_minutes": cells.whole(row.repeat_minutes),
            "uses": row.uses,
            "kind": row.kind,
            "caution": row.caution,
        }


def marks() -> Iterator[Cells]:
    rows = StepMark.objects.filter(taken_back_at__isnull=True).select_related("batch", "step")
    for row in rows.order_by("on", "pk"):
        yield {
            "date": cells.day(row.on),
            "batch": row.batch.number,
            "step": row.step.name,
            "kind": row.kind,
            "note": row.note,
        }


def readings() -> Iterator[Cells]:
    rows = Reading.objects.filter(taken_back_at__isnull=True).select_related("batch", "skin")
    for row in rows.order_by("at", "pk"):
        yield {
            "at": cells.moment(row.at),
            "batch": row.batch.number if row.batch else "",
            "skin": row.skin.tag if row.skin else "",
            "ph": cells.number(row.ph),
            "celsius": cells.number(row.celsius),
            "weight_g": cells.number(row.weight),
            "note": row.note,
            "photo": row.photo,
        }


def taken_back() -> int:
    """Marks and readings that were taken back. The minutes of a mark are labour, which is counted with labour."""
    marks_back = StepMark.objects.filter(taken_back_at__isnull=False, labour__isnull=True).count()
    return marks_back + Reading.objects.filter(taken_back_at__isnull=False).count()


def running() -> int:
    """Sittings whose timer runs: their minutes are not written yet, so no file can carry them."""
    return Sitting.objects.filter(stopped_at__isnull=True, dropped_at__isnull=True).count()
