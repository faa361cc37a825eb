"""The bath that a batch is in, told from what was really put in work for it: when it was made, and what went in.

Owns which recipe lines make a bath and which uses filled it. Must not work out what a bath would need: that is scaling.

A bath is the recipe lines of one recipe day, if at least one of them goes by the litre; lines by the bath or by weight of
that day belong to it. It was made on the first day on which more than half of its materials were put in work, so that
curing with salt is not yet a bath of alum, salt and soda. One alum may stand for another, and one soda for another. What is
put in later counts as topping up, until the next bath is made.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.models import Batch, RecipeLine
from inventory.models import Material, Movement
from inventory.substances import SUBSTANCES

LIQUID = ("per_litre", "per_bath", "percent_of_weight")
WEIGHED = ("g", "mL")

Parts = dict[Material, Decimal]


@dataclass(frozen=True)
class Filling:
    """One bath as made. `contents`: materials with what went in (base unit), in the order of the recipe."""

    made_on: date
    contents: tuple[tuple[Material, Decimal], ...]


def has_bath(batch: Batch) -> bool:
    """Whether the batch's recipe makes a bath at all."""
    return bool(_baths(batch.version.lines.all()))


def last(batch: Batch) -> Filling | None:
    """The bath that was made last, or None when nothing was put in for one."""
    used = _by_day(batch)
    baths = _baths(batch.version.lines.select_related("material"))
    made: list[tuple[date, list[Material]]] = []
    for bath in baths:
        after = made[-1][0] if made else date.min
        day = next((day for day in sorted(used) if day > after and _fills(used[day], bath)), None)
        if day:
            made.append((day, bath))
    if not made:
        return None
    day, bath = made[-1]
    return Filling(day, tuple(_contents(used, day, bath).items()))


def _baths(lines: Iterable[RecipeLine]) -> list[list[Material]]:
    """The materials of each bath of a recipe, in the order of its days."""
    days: dict[int, list[RecipeLine]] = defaultdict(list)
    for line in lines:
        days[line.day].append(line)
    return [
        list(dict.fromkeys(line.material for line in days[day] if line.basis in LIQUID))
        for day in sorted(days)
        if any(line.basis == "per_litre" for line in days[day])
    ]


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
    """All that went in on the day it was made, and what was added later of the same sorts."""
    sorts = {_sort(material) for material in bath} | {_sort(material) for material in used[made_on]}
    found: Parts = defaultdict(Decimal)
    for material in bath:
        found[material] = Decimal(0)
    for day in sorted(used):
        for material, quantity in used[day].items():
            if day == made_on or (day > made_on and _sort(material) in sorts):
                found[material] += quantity
    return {material: quantity for material, quantity in found.items() if quantity}


def _sort(material: Material) -> str:
    """What can stand for each other has one name: an alum for an alum, a soda for a soda."""
    substance = SUBSTANCES.get(material.substance)
    if substance and substance.aluminium_per_mol:
        return "alum"
    if substance and substance.alkali_per_mol and substance.co2_per_mol:
        return "soda"
    return f"material {material.pk}"
