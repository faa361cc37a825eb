"""The day from which what skins and pieces cost is settled: that of the last entry they bear anything of. Reads only."""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import Any

from django.db.models import Max, QuerySet

from costing.make.batches.models import BatchSkin, StruckStay, Use
from costing.make.cost.reallocation.selectors import Spread
from costing.make.labour.models import LabourLine
from inventory.models import Skin

_USED = ("posting__on", "posting__reversed_by__on")
_WORKED = ("on", "reversed_by__on")


def days(skins: Iterable[Skin], losses: Iterable[Spread]) -> dict[int, date]:
    """By skin id: the last day of anything that says what it bears: what was used and done, with the days of its reversal, who
    joined its batches or was struck from them, and the same of each of the `losses` it bears, with what their scrap brought.

    `losses` in the order in which they happened, each with its skin among the others.
    """
    found = {skin.pk: skin.date_in for skin in skins}
    batches: dict[int, list[int]] = {}
    for skin, batch in BatchSkin.objects.filter(skin__in=found).values_list("skin", "batch"):
        batches.setdefault(batch, []).append(skin)
    for batch, day in _last("batch", batches):
        for skin in batches[batch]:
            found[skin] = max(found[skin], day)
    for skin, day in _last("skins", found):
        found[skin] = max(found[skin], day)
    rows = list(losses)
    scrap = Skin.objects.filter(pk__in=[each.skin.pk for each in rows], sale_lines__isnull=False)
    sold = dict(scrap.order_by().values_list("pk").annotate(last=Max("sale_lines__sale__on"))) if rows else {}
    for each in rows:
        lost = max(found[each.skin.pk], each.on, sold.get(each.skin.pk, each.on))
        found[each.skin.pk] = lost
        for stay in each.bearers:
            if stay.skin_id in found:
                found[stay.skin_id] = max(found[stay.skin_id], lost)
    return found


def pieces(parts: Iterable[tuple[int, date | None]]) -> dict[int, date | None]:
    """By article id, of its parts with the day from which each skin is settled: the last of them; None where a skin is not."""
    found: dict[int, date | None] = {}
    for article, day in parts:
        before = found.get(article, day)
        found[article] = None if day is None or before is None else max(day, before)
    return found


def _last(of: str, ids: Iterable[int]) -> Iterator[tuple[int, date]]:
    """The last days of what was written on these batches, or on these skins by name."""
    wanted = list(ids)
    if not wanted:
        return
    rows: list[tuple[QuerySet[Any], tuple[str, ...]]] = [
        (Use.objects.all(), _USED),
        (LabourLine.objects.all(), _WORKED),
    ]
    if of == "batch":
        rows += [(BatchSkin.objects.all(), ("joined_on",)), (StruckStay.objects.all(), ("on",))]
    else:
        yield from StruckStay.objects.filter(skin__in=wanted).values_list("skin", "on")
    for written, fields in rows:
        last = written.filter(**{f"{of}__in": wanted}).order_by().values_list(of)
        for pk, *found in last.annotate(**{f"last_{at}": Max(field) for at, field in enumerate(fields)}):
            yield from ((pk, day) for day in found if day is not None)
