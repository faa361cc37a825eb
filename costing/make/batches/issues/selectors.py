"""The bath that a batch is in, told from what was really put in work for it: when it was made, and what went in.

Owns which uses filled a bath. Which recipe lines are one is `costing.make.baths.selectors`, what it would need is scaling.

A bath was made on the first day on which more than half of its materials were put in work, so that curing with salt is not
yet a bath of alum, salt and soda. One alum may stand for another there, and one soda for another. All that is weighed or
measured on that day went in; what is put in later of the same materials tops it up, until the next bath is made.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum, Value
from django.db.models.functions import Coalesce

from costing.make.batches.models import Batch
from costing.make.baths import selectors as baths
from costing.make.baths.chemistry import substitution as chemistry
from inventory.models import Kind, Material, Movement
from inventory.report import Cells, Link

WEIGHED = ("g", "mL")
Parts = dict[Material, Decimal]


@dataclass(frozen=True)
class Filling:
    """One bath as made. `contents`: materials with what went in (base unit), in the order of the recipe."""

    made_on: date
    contents: tuple[tuple[Material, Decimal], ...]


def has_bath(batch: Batch) -> bool:
    """Whether the batch's recipe makes a bath at all."""
    return bool(baths.all_of(batch.version))


def last(batch: Batch) -> Filling | None:
    """The bath that was made last, or None when nothing was put in for one."""
    used = _by_day(batch)
    made: list[tuple[date, list[Material]]] = []
    for lines in baths.all_of(batch.version):
        bath = list(dict.fromkeys(line.material for line in lines))
        after = made[-1][0] if made else date.min
        day = next((day for day in sorted(used) if day > after and _fills(used[day], bath)), None)
        if day:
            made.append((day, bath))
    if not made:
        return None
    day, bath = made[-1]
    return Filling(day, tuple(_contents(used, day, bath).items()))


def _by_day(batch: Batch) -> dict[date, Parts]:
    """What stands as put in work for a batch, by day, of all that is weighed or measured."""
    rows = Movement.objects.filter(
        posting__use__batch=batch, posting__reversed_by__isnull=True, material__base__in=WEIGHED
    )
    used: dict[date, Parts] = defaultdict(lambda: defaultdict(Decimal))
    for row in rows.select_related("material").order_by("on", "pk"):
        used[row.on][row.material] -= row.quantity
    return used


def _fills(there: Parts, bath: list[Material]) -> bool:
    wanted = {_sort(material) for material in bath}
    return 2 * len(wanted & {_sort(material) for material in there}) > len(wanted)


def _contents(used: dict[date, Parts], made_on: date, bath: list[Material]) -> Parts:
    """What went in on the day it was made, in the order of the recipe, with what was added later of the same."""
    first = used[made_on]
    order = [*(material for material in bath if material in first), *(each for each in first if each not in bath)]
    later = [used[day] for day in used if day >= made_on]
    return {material: sum((day.get(material, Decimal(0)) for day in later), Decimal(0)) for material in order}


def _sort(material: Material) -> str:
    """What can stand for each other has one name: an alum for an alum, a soda for a soda."""
    return chemistry.family(material.substance) or f"material {material.pk}"


def by_batch(month: int) -> list[Cells]:
    """Put in work in the month, by batch and material; a reversed use cancels within its month. What went straight on raw
    skins stands under them. Quantities in the material's base unit."""
    rows = (
        Movement.objects.filter(month=month, kind=Kind.USE)
        .annotate(batch=Coalesce(*(f"posting__{by}use__batch__number" for by in ("", "reverses__")), Value("skins")))
        .order_by()
        .values_list("batch", "material")
        .annotate(Sum("quantity"), Sum("value"))
    )
    sums = [row for row in rows if row[2] or row[3]]
    materials = Material.objects.in_bulk({material for _, material, *_ in sums})
    found = sorted((batch, materials[pk].name, pk, -quantity, -value) for batch, pk, quantity, value in sums)
    return [
        {
            "batch": "raw skins" if batch == "skins" else Link(batch, "batch", batch),
            "material": name,
            "unit": materials[pk].unit,
            "quantity": quantity,
            "value": value,
        }
        for batch, name, pk, quantity, value in found
    ]
