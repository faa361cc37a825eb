"""Reads of readings: of a batch, of a skin, and its weighings."""

from collections.abc import Iterable

from django.db.models import QuerySet

from costing.make.batches.models import Batch
from costing.make.readings.models import Reading
from inventory.models import Skin


def listed() -> QuerySet[Reading]:
    """Taken-back ones too, the newest first."""
    return Reading.objects.select_related("batch", "skin", "written_by", "reverser").order_by("-at", "-pk")


def of_batch(batch: Batch) -> QuerySet[Reading]:
    return listed().filter(batch=batch)


def of_skin(skin: Skin) -> QuerySet[Reading]:
    return listed().filter(skin=skin)


def weighings_of(skins: Iterable[Skin]) -> QuerySet[Reading]:
    """Those that are not reversed and say a weight, the oldest first."""
    found = Reading.objects.filter(skin__in=list(skins), weight__isnull=False, reversed_at__isnull=True)
    return found.order_by("at", "pk")
