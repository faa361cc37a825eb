"""What of each thing goes into one bath: which lines of a recipe it is, what stands in for what, in which measure.

Reads only, and neither prices nor judges; `costing.make.baths.selectors` makes the whole bath of it.

Which lines of a recipe are one bath: those by the litre or gallon that fill a tub and top it up (`recipes.selectors.fillings`), and
lines on another basis that go in with one of them on its day (in its step or, where the recipe has none, by the words up to
the first comma: “bath” and “bath, slowly” are one). A recipe may have several baths, each called by the day that it is filled
on; the first is meant unless a day is named.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from costing.make.baths.chemistry import substitution as chemistry
from costing.make.recipes import rules as recipes, selectors as recipes_read
from costing.make.recipes.models import RecipeLine, RecipeVersion
from inventory import money, substances, units
from inventory.errors import DensityNeeded, Refused
from inventory.models import Material

# From this size of a unit on (a litre, a kilogram) a thousandth of it is weighed out, below it less.
LARGE = 1000


@dataclass(frozen=True)
class Mixed:
    """A line scaled and, where asked, replaced; not yet priced. `asked`: the recipe's own amount in its own measure.

    `quantity` is in the material's base unit, `measure` in the unit the recipe was written in.
    """

    recipe: RecipeLine
    material: Material
    quantity: Decimal
    grams: Decimal | None
    measure: str
    asked: str
    caution: str


def by_day(version: RecipeVersion) -> dict[int, list[RecipeLine]]:
    """The lines of each bath of a recipe in the order of adding, by the day it is filled on; nothing where nothing goes by
    the litre."""
    rows = list(version.lines.select_related("material", "step").order_by("day", "position"))
    for row in rows:
        row.version = version
    found = {}
    for filling in recipes_read.fillings(rows):
        with_it = {(row.day, _step(row)) for row in filling}
        found[filling[0].day] = [
            row
            for row in rows
            if row in filling or (row.basis not in recipes.BY_BATH and (row.day, _step(row)) in with_it)
        ]
    return found


def _step(row: RecipeLine) -> str:
    return row.step.name if row.step else row.how.split(",")[0].strip().casefold()


def shorts(wanted: Sequence[tuple[Material, Decimal]]) -> list[Decimal]:
    """What the shelf lacks of each quantity (base unit), earlier ones served first."""
    left = {material.pk: material.on_hand for material, _ in wanted}
    found = []
    for material, quantity in wanted:
        taken = min(quantity, left[material.pk])
        left[material.pk] -= taken
        found.append(quantity - taken)
    return found


def stand_ins(line: RecipeLine, shelf: Sequence[Material]) -> list[Material]:
    """Materials on the shelf that could take the place of a line: another alum for an alum, another soda for a soda."""
    kin = chemistry.family(line.material.substance)
    return [row for row in shelf if kin and row.pk != line.material_id and chemistry.family(row.substance) == kin]


def weighable(material: Material) -> bool:
    """Whether grams of its substance can be told of it: kept by weight, or by volume with a known density or strength."""
    kind = units.metric_of(material.base)
    return kind == "g" or (kind == "mL" and material.density_g_per_ml is not None)


def stand_in(line: RecipeLine, quantity: Decimal, instead: Material) -> chemistry.Substitute:
    """Grams of another material that bring the metal or the alkali of `quantity` (base unit) of a recipe line.

    The same substance out of another sack is no other tanning: then there is nothing to mind.

    Refused where one of the two is kept by volume and nobody recorded what of its substance that holds.
    """
    for each in (line.material, instead):
        if not weighable(each):
            raise _strength_unknown(each)
    found = chemistry.substitute(grams(line.material, quantity), line.material.substance, instead.substance)
    return replace(found, caution="") if instead.substance == line.material.substance else found


def _strength_unknown(material: Material) -> Refused:
    if units.metric_of(material.base) == "mL":
        substance = substances.SUBSTANCES[material.substance].name.lower()
        why = f"how much {substance} it holds is not recorded"
        way = (
            "On its page, under “Weigh a cup”, enter what a level cup of the dry stuff weighs or, of a solution, what "
            "is dissolved in so much of it"
        )
    else:
        why, way = (
            f"it is kept by the {material.base.replace('_', ' ')}, and its weight is not known",
            "Keep it by weight or by volume",
        )
    return Refused(
        f"{material.name} ({material.code}) is compared with its like by weight, and {why}. {way}; or use what is kept by "
        "weight.",
        field="use",
    )


def in_measure(material: Material, quantity: Decimal, unit: str) -> str:
    """A quantity (base unit) in the maker's own measure, with its unit; see `measured`."""
    return units.told(measured(material, quantity, unit), unit)


def measured(material: Material, quantity: Decimal, unit: str) -> Decimal:
    """A quantity (base unit) in the maker's own measure; cups and spoons through the jar's weighed density.

    Half up to what a shed's scale and cups can tell: a tenth of a gram or millilitre, a hundredth of an ounce or a cup, a
    thousandth of a kilogram or litre.

    `DensityNeeded` names the material where the measure and the shelf differ in kind and the jar was never weighed.
    """
    if not measurable(material, unit):
        raise DensityNeeded(units.label(unit), units.label(material.base), _named(material))
    held = _weighed(material, quantity, material.base, units.base_of(unit))
    size = units.factor(unit)
    places = 1 if size <= 1 else 2 if size < LARGE else 3
    return money.half_up(units.from_base(held, unit), places)


def with_swaps(rows: Sequence[RecipeLine], use: Sequence[Material]) -> list[tuple[RecipeLine, Material | None]]:
    """Each line with what goes in instead, if anything."""
    chosen: dict[str, Material] = {}
    for material in use:
        kin = chemistry.family(material.substance)
        if not kin:
            raise Refused(
                f"{material.name} can take the place of nothing: only an alum stands in for an alum and a soda for a soda, and "
                "the material must name its exact substance.",
                field="use",
            )
        if not any(chemistry.family(row.material.substance) == kin for row in rows):
            raise Refused(
                f"There is no {kin} in this bath that {material.name} could take the place of; leave it out.",
                field="use",
            )
        if kin in chosen:
            raise Refused(
                f"{material.name} and {chosen[kin].name} would both take the place of the same {kin}; choose one of them.",
                field="use",
            )
        chosen[kin] = material
    found = []
    for row in rows:
        instead = chosen.get(chemistry.family(row.material.substance))
        found.append((row, None if instead is None or instead.pk == row.material_id else instead))
    return found


def mix(row: RecipeLine, known: recipes.Measures, instead: Material | None) -> Mixed:
    material = row.material
    quantity = recipes.scale(recipes_read.exact(row), row.basis, known, material.name)
    _, unit = recipes_read.typed(row)
    unit = material.unit if unit == "%" else unit
    asked = in_measure(material, quantity, unit)
    if instead is None:
        # Of eggs or vinegar, neither weighed nor of a known substance, no grams can be told.
        by_weight = units.metric_of(material.base) == "g"
        weighed = grams(material, quantity) if by_weight or material.substance else None
        return Mixed(row, material, quantity, weighed, asked, asked, "")
    swapped = stand_in(row, quantity, instead)
    quantity = held(instead, swapped.grams)
    measure = in_measure(instead, quantity, unit if measurable(instead, unit) else instead.unit)
    return Mixed(row, instead, quantity, swapped.grams, measure, asked, swapped.caution)


def measurable(material: Material, unit: str) -> bool:
    """Whether the jar can be measured out in a unit; a recipe line is of mass or volume wherever the two differ."""
    return units.metric_of(unit) == units.metric_of(material.base) or material.density_g_per_ml is not None


def grams(material: Material, quantity: Decimal) -> Decimal:
    """Grams of a base quantity: of the material, and so of the substance that it names. `DensityNeeded` of an unweighed jar."""
    return _weighed(material, quantity, material.base, "g")


def held(material: Material, grams: Decimal) -> Decimal:
    """Grams in the base unit a material is kept in."""
    return _weighed(material, grams, "g", material.base)


def _weighed(material: Material, quantity: Decimal, unit: str, base: str) -> Decimal:
    """Mass to volume and back by the jar's weighed density."""
    return units.to_base(quantity, unit, base, density_g_per_ml=material.density_g_per_ml, name=_named(material))


def _named(material: Material) -> str:
    return f"{material.name} ({material.code})"
