"""Reads of batches: their list, the next number, and how they share."""

import re

from django.db.models import Count, Q, QuerySet

from costing.make.additions.models import SkippedAddition
from costing.make.batches.models import Batch, StruckStay
from inventory.base.finding import hits


def listed() -> QuerySet[Batch]:
    """Every batch with its skins in all and those there now, the latest start first."""
    return (
        Batch.objects.select_related("version__recipe", "place")
        .annotate(
            heads=Count("stays", distinct=True),
            there=Count("stays", filter=Q(stays__left_on__isnull=True), distinct=True),
        )
        .order_by("-start", "-pk")
    )


def next_number() -> str:
    """The number after the highest B<n> in use."""
    numbers = (re.fullmatch(r"[Bb](\d{1,6})", number) for number in Batch.objects.values_list("number", flat=True))
    return f"B{max((int(found[1]) for found in numbers if found), default=0) + 1}"


def skipped(batch: Batch) -> QuerySet[SkippedAddition]:
    """What was left out of it, reversed or not, in the order in which that was said."""
    rows = batch.skipped.select_related("line__material", "written_by", "reverser")
    return rows.order_by("on", "pk")


def struck(batch: Batch) -> QuerySet[StruckStay]:
    """The skins that were never in it, although it was written that they were."""
    return batch.struck.select_related("skin").order_by("on", "pk")


def shared_by_head(batch: Batch) -> bool:
    """Whether the batch must share by head although it was planned otherwise: a skin in it was never weighed or measured."""
    skins = [stay.skin for stay in batch.stays.all()]
    if batch.share_by == Batch.ShareBy.WEIGHT:
        return not all(skin.green_weight for skin in skins)
    if batch.share_by == Batch.ShareBy.AREA:
        return not all(skin.wet_area or skin.dry_area for skin in skins)
    return False


def search(words: str) -> QuerySet[Batch]:
    """Batches by number, recipe, place and note."""
    rows = Batch.objects.select_related("version__recipe")
    return hits(rows, words, ("number", "version__recipe__code", "version__recipe__name", "place__name", "note"))
