"""What one more batch of a recipe would take from the shelf, and on which days. Nothing of it is kept.

Owns what is assumed of skins that nobody has named. Must not write, price, or judge whether the shelf is enough.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from statistics import median

from costing.make.batches.models import BatchSkin
from costing.make.batches.requirements.selectors import ML_PER_LITRE
from costing.make.batches.stays import selectors as stays
from costing.make.errors import MissingMeasure
from costing.make.recipes import rules as recipes, selectors as recipes_read
from costing.make.recipes.models import Recipe, RecipeVersion
from inventory import formats, units
from inventory.base import measures
from inventory.errors import Refused
from inventory.foresight.supply import Need
from inventory.models import Material, Skin
from inventory.money import half_up

WHY = "one more batch"
MOST_SKINS = 500

# By the measure that a basis needs: why it is not known of skins that nobody has named.
UNKNOWN = {
    "litres": "the recipe does not say how large a bath a skin takes",
    "skins": "it is not known how many skins go in",
    "weight_g": "no skin of its batches, of their species, or waiting was weighed green",
    "area_cm2": "no skin of its batches, of their species, or waiting was measured",
    "edge_mm": "the length of an edge is known only of a skin that is there",
}


@dataclass(frozen=True)
class Usual:
    """What a skin of a recipe usually is: the median of `count` skins; `of` says which."""

    value: Decimal
    count: int
    of: str

    @property
    def said(self) -> str:
        return f"the median of {self.count} skin{'' if self.count == 1 else 's'} of {self.of}"


@dataclass(frozen=True)
class Needs:
    """What one more batch takes: `lines` in the order of their days, quantities in base units; `litres` None where the recipe
    tells no bath a skin. `missing`: lines that could not be scaled, and why. `assumed`: what was taken for granted."""

    version: RecipeVersion
    skins: int
    start: date
    litres: Decimal | None
    lines: tuple[tuple[Material, Need], ...]
    missing: tuple[str, ...]
    assumed: tuple[str, ...]

    @property
    def by_material(self) -> Mapping[int, tuple[Need, ...]]:
        """By material (its key), as the forecast takes them."""
        found: dict[int, list[Need]] = defaultdict(list)
        for material, need in self.lines:
            found[material.pk].append(need)
        return {pk: tuple(needs) for pk, needs in found.items()}

    @property
    def words(self) -> str:
        """One more batch of 3 skins by R1."""
        return f"One more batch of {_skins(self.skins)} by {self.version.recipe.code}"


def extra_batch(version: RecipeVersion, skins: int, on: date, start: date | None = None) -> Needs:
    """One more batch of so many skins by a recipe version, seen from `on`, begun then unless `start` is given.

    Refused: fewer than one skin or more than 500, and a start before `on`.
    """
    if not 1 <= skins <= MOST_SKINS:
        raise Refused(f"A batch of {skins} skins cannot be; say from 1 to {MOST_SKINS}.", field="skins")
    begins = start or on
    if begins < on:
        raise Refused(f"The batch would begin on {begins}, before {on}; choose that day or a later one.", field="start")
    rows = list(version.lines.select_related("material", "step").order_by("day", "position"))
    known, assumed = _measures(version, skins, {line.basis for line in rows})
    lines, missing = [], []
    for line in rows:
        try:
            amount = recipes.scale(recipes_read.exact(line), line.basis, known, line.material.name)
        except MissingMeasure as refusal:
            missing.append(f"{line.material.name} {recipes.BASES[line.basis]}: {UNKNOWN[refusal.field or '']}")
            continue
        lines.append((line.material, Need(begins + timedelta(days=line.day), amount, WHY, beside=True)))
    said = (f"It begins on {formats.day(begins)} and keeps to the days of the recipe.", *assumed)
    return Needs(version, skins, begins, known.litres, tuple(lines), tuple(missing), said)


def _measures(version: RecipeVersion, skins: int, bases: set[str]) -> tuple[recipes.Measures, list[str]]:
    """What is known of the batch for scaling, and what of it is assumed."""
    assumed, weight, area = [], None, None
    if "percent_of_weight" in bases and (usual := usual_weight(version.recipe)):
        weight = usual.value * skins
        shown = units.show(half_up(usual.value, 0), measures.weight_unit(), "g")
        assumed.append(f"A green skin weighs {shown}, {usual.said}.")
    if bases & {"per_dm2", "per_sq_ft"} and (usual := usual_area(version.recipe)):
        area = usual.value * skins
        assumed.append(f"A skin measures {measures.own_area(usual.value)}, {usual.said}.")
    litres = version.litres_per_skin and version.litres_per_skin * skins / ML_PER_LITRE
    return recipes.Measures(litres=litres, skins=skins, weight_g=weight, area_cm2=area), assumed


def usual_weight(recipe: Recipe) -> Usual | None:
    """The usual green weight in grams."""
    return _usual(recipe, ("green_weight",))


def usual_area(recipe: Recipe) -> Usual | None:
    """The usual area in cm², wet where it was measured so, else dry."""
    return _usual(recipe, ("wet_area", "dry_area"))


def usual_price(recipe: Recipe) -> Usual | None:
    """What a skin of the maker's own usually cost."""
    return _usual(recipe, ("price",), owner=Skin.Owner.MINE, price__gt=0)


def _usual(recipe: Recipe, fields: tuple[str, ...], **which: object) -> Usual | None:
    """The median over the skins that batches of a recipe took; where none is known over all of their species, then over those
    that wait for a batch."""
    taken = BatchSkin.objects.filter(batch__version__recipe=recipe).values("skin")
    kind = Skin.objects.filter(pk__in=taken).values("species")
    asked = (
        (Skin.objects.filter(pk__in=taken), f"{recipe.code}'s batches"),
        (Skin.objects.filter(species__in=kind), "the same species"),
        (stays.free(), "those that wait for a batch"),
    )
    for rows, of in asked:
        told = (next(filter(None, values), None) for values in rows.filter(**which).order_by().values_list(*fields))
        if found := [value for value in told if value]:
            return Usual(median(found), len(found), of)
    return None


def _skins(count: int) -> str:
    return f"{count} skin{'' if count == 1 else 's'}"
