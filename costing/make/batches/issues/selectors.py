"""The bath that a batch is in, told from what was really put in work for it: when it was filled, and what is in it.

Owns which uses filled a bath. Which recipe lines are one is `costing.make.baths.mixing.selectors`.

A bath was filled on the first day on which more than half of what fills it was put in work, so that curing with salt is not
yet a bath of alum, salt and soda. One alum may stand for another there, and one soda for another. In it is all that was
weighed or measured out that day, what was added since of the same or for a line of the bath, and, while its skins lie in it,
what the recipe does not name at all.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import Q, QuerySet, Sum, Value
from django.db.models.functions import Coalesce

from costing.make.batches.models import Batch, Use
from costing.make.baths import selectors as baths
from costing.make.baths.chemistry import substitution as chemistry
from costing.make.recipes.models import RecipeLine, RecipeStep
from costing.make.steps import selectors as steps
from inventory import formats, units
from inventory.errors import Refused
from inventory.models import Kind, Material, Movement, Skin
from inventory.report import Cells, Link

WEIGHED = ("g", "oz", "mL", "us_fluid_ounce", "imperial_fluid_ounce", "cubic_inch")
AROUND = timedelta(days=180)


@dataclass(frozen=True)
class Content:
    """One material in a bath: how much (base unit), and the recipe line that asks for it, if one does."""

    material: Material
    quantity: Decimal
    line: RecipeLine | None


@dataclass(frozen=True)
class Filling:
    """One bath as made, its contents in the order of the recipe. `added_on`: the last day on which something went in."""

    made_on: date
    added_on: date
    contents: tuple[Content, ...]


def has_bath(batch: Batch) -> bool:
    """Whether the batch's recipe makes a bath at all."""
    return bool(baths.all_of(batch.version))


def anything(batch: Batch) -> bool:
    """Whether something stands as put in work for a batch."""
    return bool(_by_day(batch))


def last(batch: Batch) -> Filling | None:
    """The bath that was filled last, or None when nothing was put in for one."""
    used = _by_day(batch)
    made: list[tuple[date, list[RecipeLine]]] = []
    for lines in baths.all_of(batch.version):
        first = [line.material for line in lines if line.day == lines[0].day]
        after = made[-1][0] if made else date.min
        day = next((day for day in sorted(used) if day > after and _fills(used[day], first)), None)
        if day:
            made.append((day, lines))
    return _filling(batch, *made[-1], used) if made else None


def _by_day(batch: Batch) -> dict[date, list[Movement]]:
    """What stands as put in work for a batch, by day, of all that is weighed or measured."""
    rows = Movement.objects.filter(
        posting__use__batch=batch, posting__reversed_by__isnull=True, material__base__in=WEIGHED
    )
    used: dict[date, list[Movement]] = defaultdict(list)
    for row in rows.select_related("material", "planned").order_by("on", "pk"):
        used[row.on].append(row)
    return used


def _fills(there: Iterable[Movement], first: list[Material]) -> bool:
    wanted = {_sort(material) for material in first}
    return 2 * len(wanted & {_sort(row.material) for row in there}) > len(wanted)


def _filling(batch: Batch, made_on: date, lines: list[RecipeLine], used: dict[date, list[Movement]]) -> Filling:
    order = {line.material_id: place for place, line in enumerate(lines)}
    mine, first = {line.pk for line in lines}, {row.material_id for row in used[made_on]}
    named = {line.material_id for line in batch.version.lines.all()}
    ends = _ends(batch, lines)
    found: dict[Material, Decimal] = defaultdict(Decimal)
    added_on = made_on
    for day in sorted(day for day in used if day >= made_on):
        for row in used[day]:
            line = row.planned.line_id if hasattr(row, "planned") else None
            beside = row.material_id not in named and day < ends
            if day != made_on and (
                line not in mine if line else row.material_id not in {*first, *order} and not beside
            ):
                continue
            found[row.material] -= row.quantity
            added_on = day
    asked = {line.material_id: line for line in reversed(lines)}
    ordered = sorted(found, key=lambda material: order.get(material.pk, len(order)))
    return Filling(made_on, added_on, tuple(Content(each, found[each], asked.get(each.pk)) for each in ordered))


def _ends(batch: Batch, lines: list[RecipeLine]) -> date:
    """The day that the skins left the bath; of one that they lie in, or that no step speaks of, no day."""
    tubs = [step for step in batch.version.steps.all() if step.uses == RecipeStep.Uses.TUB]
    last_of = [step for step in tubs if lines[-1].step and step.position >= lines[-1].step.position]
    ended = {mark.step: mark.on for mark in steps.standing_marks(batch) if mark.kind != "repeat"}
    return ended.get(last_of[0].name, date.max) if last_of else date.max


def _sort(material: Material) -> str:
    """What can stand for each other has one name: an alum for an alum, a soda for a soda."""
    return chemistry.family(material.substance) or f"material {material.pk}"


def by_batch(month: int) -> list[Cells]:
    """Put in work in the month, by batch and material; a reversed use cancels within its month. What went straight on raw
    skins stands under them, what went into a frame under its number. Quantities in the material's base unit."""
    rows = (
        Movement.objects.filter(month=month, kind=Kind.USE)
        .annotate(batch=_number_of("batch"), frame=_number_of("frame"))
        .order_by()
        .values_list("batch", "frame", "material")
        .annotate(Sum("quantity"), Sum("value"))
    )
    sums = [row for row in rows if row[3] or row[4]]
    materials = Material.objects.in_bulk({material for *_, material, _, _ in sums})
    found = sorted(
        (not batch, frame, batch, materials[pk].name, pk, -quantity, -value)
        for batch, frame, pk, quantity, value in sums
    )
    return [
        {
            "batch": _used_for(batch, frame),
            "material": name,
            "unit": materials[pk].unit,
            "quantity": quantity,
            "value": value,
        }
        for _, frame, batch, name, pk, quantity, value in found
    ]


def _number_of(name: str) -> Coalesce:
    """The number of the batch or frame that a use was for, or that which a reversal took back; empty for none."""
    return Coalesce(f"posting__use__{name}__number", f"posting__reverses__use__{name}__number", Value(""))


def _used_for(batch: str, frame: str) -> Link | str:
    if frame:
        return Link(f"frame {frame}", "frame", frame)
    return Link(batch, "batch", batch) if batch else "raw skins"


def moved(use: Use) -> list[Movement]:
    """What a use took, in its order, with the recipe line of each."""
    return list(use.posting.movements.select_related("material", "planned__line__material").order_by("pk"))


def typed(movement: Movement) -> tuple[Decimal, str]:
    """What a use took as it was typed where that still says it, else in the material's own unit."""
    material = movement.material
    try:
        amount, unit = units.parse(movement.typed, formats.PLAIN)
        known = material.density_g_per_ml
        if units.to_base(amount, unit, material.base, density_g_per_ml=known) == -movement.quantity:
            return amount, unit
    except Refused:
        pass
    return units.from_base(-movement.quantity, material.unit), material.unit


def told(rows: Iterable[Movement]) -> list[tuple[Movement, str, Decimal, RecipeLine | None]]:
    """Each with its measure, its value, and the recipe line that it was put in for."""
    return [
        (row, units.told(*typed(row)), -row.value, row.planned.line if hasattr(row, "planned") else None)
        for row in rows
    ]


def batches_for(use: Use) -> QuerySet[Batch]:
    """Those that a use may have been meant for: what is planned or in work, what began around its day, and its own."""
    near = Q(start__range=(use.posting.on - AROUND, use.posting.on + AROUND))
    rows = Batch.objects.filter(~Q(state=Batch.State.DONE) | near | Q(pk=use.batch_id))
    return rows.order_by("-start", "-pk")


def skins_for(use: Use) -> list[Skin]:
    """Those it may have been meant for: what is raw or in work, those of its batch, and those that it names."""
    open_ = Q(stage__in=[Skin.Stage.RAW, Skin.Stage.IN_WORK]) | Q(uses=use)
    rows = Skin.objects.filter(open_ | Q(stays__batch=use.batch_id) if use.batch_id else open_)
    return list(rows.distinct().order_by("tag"))
