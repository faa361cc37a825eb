"""Reads of readings: of a batch, of a skin, its weighings, and what is odd beside them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet
from django.utils import timezone

from costing.make.batches.models import Batch
from costing.make.readings import rules
from costing.make.readings.models import Reading
from inventory import formats
from inventory.models import Skin
from inventory.skins.rules import odd_weight, weight


def listed(**of: Batch | Skin) -> QuerySet[Reading]:
    """Those of a `batch` or of a `skin`, reversed ones too, the newest first."""
    rows = Reading.objects.select_related("batch", "skin", "written_by", "reverser")
    return rows.filter(**of).order_by("-at", "-pk")


def weighings_of(skins: Iterable[Skin]) -> QuerySet[Reading]:
    """Those of these skins that stand and say a weight, the oldest first."""
    found = Reading.objects.filter(skin__in=list(skins), weight__isnull=False, reversed_at__isnull=True)
    return found.order_by("at", "pk")


@dataclass(frozen=True)
class Weighed:
    """What a skin weighed last, in grams, and when, in words."""

    grams: Decimal
    when: str


def last_weights(skins: Iterable[Skin]) -> dict[int, Weighed]:
    """By skin id: its last weighing, else its green weight; a skin of which neither is known is left out."""
    rows = list(skins)
    found = {skin.pk: Weighed(skin.green_weight, "green") for skin in rows if skin.green_weight}
    for row in weighings_of(rows):
        if row.weight is not None and row.skin_id is not None:
            at = timezone.localtime(row.at)
            found[row.skin_id] = Weighed(row.weight, f"on {formats.day(at)}")
    return found


def sheet(batch: Batch) -> dict[str, tuple[Skin, str]]:
    """By tag: the skins that are in a batch, each with its species and what it weighed last, in words."""
    rows = Skin.objects.filter(stays__batch=batch, stays__left_on__isnull=True).order_by("tag").distinct()
    last = last_weights(rows)
    words = {row.pk: f"{weight(each.grams, row.weight_unit)} {each.when}" for row in rows if (each := last.get(row.pk))}
    return {skin.tag: (skin, ", ".join(filter(None, (skin.species, words.get(skin.pk))))) for skin in rows}


def odd_weighings(weighed: Mapping[Skin, Decimal], unit: str) -> dict[Skin, str | None]:
    """What to ask of each weighing in grams; `unit` is the one it is spoken of in."""
    last = last_weights(weighed)
    return {
        skin: rules.odd_weighing(skin.tag, grams, last[skin.pk].grams, last[skin.pk].when, unit)
        if skin.pk in last
        else odd_weight(skin.species, grams, (), unit)
        for skin, grams in weighed.items()
    }
