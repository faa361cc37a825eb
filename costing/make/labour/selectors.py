"""Reads of labour: the log, and the words used in it before."""

from __future__ import annotations

from django.db.models import Max, QuerySet

from costing.make.labour.models import LabourLine

OFFERED = 60


def listed() -> QuerySet[LabourLine]:
    """The log without the lines that only take another back; those show as a mark on what they took back."""
    return (
        LabourLine.objects.filter(reverses__isnull=True)
        .select_related("batch", "reversed_by", "written_by")
        .prefetch_related("skins")
    )


def tasks() -> list[str]:
    """Tasks named before, the latest first."""
    rows = LabourLine.objects.order_by().values("task").annotate(last=Max("on")).order_by("-last", "task")
    return [row["task"] for row in rows[:OFFERED]]


def people() -> list[str]:
    """Helpers named before."""
    return list(LabourLine.objects.exclude(who="").order_by("who").values_list("who", flat=True).distinct()[:OFFERED])
