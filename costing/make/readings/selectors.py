"""Reads of readings: of a batch, of a skin, and its weighings."""

from collections.abc import Iterable

from django.db.models import QuerySet

from costing.make.batches.models import Batch
from costing.make.readings.models import Reading
from inventory.models import Skin


def listed(**of: Batch | Skin) -> QuerySet[Reading]:
    """Those of a `batch` or of a `skin`, reversed ones too, the newest first."""
    rows = Reading.objects.select_related("batch", "skin", "written_by", "reverser")
    return rows.filter(**of).order_by("-at", "-pk")


def weighings_of(skins: Iterable[Skin]) -> QuerySet[Reading]:
    """Those of these skins that stand and say a weight, the oldest first."""
    found = Reading.objects.filter(skin__in=list(skins), weight__isnull=False, reversed_at__isnull=True)
    return found.order_by("at", "pk")
