"""What of each thing goes into one bath: which lines of a recipe it is, what stands in for what, in which measure.

Reads only, and neither prices nor judges; `costing.selectors.baths` makes the whole bath of it.

Which lines of a recipe are one bath: those reckoned per litre on one day, and lines on another basis that stand in the
same step on that day (words up to the first comma: “bath” and “bath, dissolved and slowly” are one). A recipe that is
reckoned per litre on several days has as many baths; the first is meant unless a day is named.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from costing.make.baths.chemistry import bath as chemistry_bath
from costing.make.baths.chemistry import substitution as chemistry
from costing.make.errors import NoBath
from costing.make.recipes import rules as recipes
from costing.make.recipes import selectors as recipes_read
from costing.make.recipes.models import RecipeLine, RecipeVersion
from inventory import money, substances, units
from inventory.errors import DensityNeeded, Refused
from inventory.models import Material

# From this size of a unit on (a litre, a kilogram) a thousandth of it is weighed out, below it less.
LARGE = 1000


@dataclass(frozen=True)
class Mixed:
    """A line scaled and, where asked, replaced; not yet priced."""

    recipe: RecipeLine
    material: Material
    quantity: Decimal
    grams: Decimal | None
    measure: str
    asked: str
    caution: str


def bath_lines(version: RecipeVersion, day: int | None) -> tuple[int, tuple[int, ...], list[RecipeLine]]:
    """The day of the bath, the days of the recipe's other baths, and the lines in the order of adding."""
    rows = list(version.lines.select_related("material").order_by("position"))
    days = list(dict.fromkeys(row.day for row in rows if row.basis == "per_litre"))
    if not days:
        raise NoBath(
            f"{version.recipe} calculates nothing per litre, so it has no bath to work out. Plan a batch by it: the batch's page "
            "says how much goes in."
        )
    if day is not None and day not in days:
        known = " and ".join(map(str, days))
        raise NoBath(
            f"{version.recipe} mixes no bath on day {day}; it does on day {known}. Name one of these.", field="day"
        )
    chosen = days[0] if day is None else day
    together = {_step(row) for row in rows if row.basis == "per_litre" and row.day == chosen}
    found = [row for row in rows if row.day == chosen and (row.basis == "per_litre" or _step(row) in together)]
    return chosen, tuple(each for each in days if each != chosen), found


def _step(row: RecipeLine) -> str:
    return row.step.split(",")[0].strip().casefold()


def stand_ins(line: RecipeLine, shelf: Sequence[Material]) -> list[Material]:
    """Materials on the shelf that could take the place of a line: another alum for an alum, another soda for a soda."""
    kin = chemistry.family(line.material.substance)
    return [row for row in shelf if kin and row.pk != line.material_id and chemistry.family(row.substance) == kin]


def weighable(material: Material) -> bool:
    """Whether grams of its substance can be told of it: kept by weight, or by volume with a known density or strength."""
    return material.base == "g" or (material.base == "mL" and material.density_g_per_ml is not None)


def stand_in(line: RecipeLine, quantity: Decimal, instead: Material) -> chemistry.Substitute:
    """What of another material brings the metal or the alkali of `quantity` (base unit) of a recipe line.

    Refused where one of the two is kept by volume and nobody recorded what of its substance that holds.
    """
    for each in (line.material, instead):
        if not weighable(each):
            raise _strength_unknown(each)
    wanted = chemistry_bath.Line(line.material.name, line.material.substance, grams(line.material, quantity))
    return chemistry.substitute(wanted, instead.substance)


def _strength_unknown(material: Material) -> Refused:
    if material.base == "mL":
        substance = substances.SUBSTANCES[material.substance].name.lower()
        why = f"how many grams of {substance} a litre of it holds is not recorded"
        way = (
            "On its page, under “Weigh a cup”, enter what a level cup of the dry stuff weighs or, of a solution, the grams "
            "dissolved in so much of it"
        )
    else:
        why, way = f"it is kept by the {material.base}, and its weight is not known", "Keep it by weight or by volume"
    return Refused(
        f"{material.name} ({material.code}) is compared with its like by weight, and {why}. {way}; or use what is kept by "
        "weight.",
        field="use",
    )


def in_measure(material: Material, quantity: Decimal, unit: str) -> str:
    """A quantity (base unit) in the maker's own measure; cups and spoons through the jar's weighed density.

    Half up to what a shed's scale and cups can tell: a tenth of a gram or millilitre, a hundredth of an ounce or a cup, a
    thousandth of a kilogram or litre.

    `DensityNeeded` names the material where the measure and the shelf differ in kind and the jar was never weighed.
    """
    if not _measurable(material, unit):
        raise DensityNeeded(units.label(unit), material.base, _named(material))
    held = units.to_base(
        quantity, material.base, units.base_of(unit), density_g_per_ml=material.density_g_per_ml, name=_named(material)
    )
    size = units.factor(unit)
    places = 1 if size <= 1 else 2 if size < LARGE else 3
    return f"{money.half_up(units.from_base(held, unit), places).normalize():f} {units.label(unit)}"


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
    quantity = recipes.scale(row.amount, row.basis, known, material.name)
    _, unit = recipes_read.typed(row)
    unit = material.unit if unit == "%" else unit
    asked = in_measure(material, quantity, unit)
    if instead is None:
        return Mixed(row, material, quantity, _weighed(material, quantity), asked, asked, "")
    swapped = stand_in(row, quantity, instead)
    quantity = held(instead, swapped.grams)
    # The same substance out of another sack is no other tanning.
    caution = "" if instead.substance == material.substance else swapped.caution
    measure = in_measure(instead, quantity, unit if _measurable(instead, unit) else instead.unit)
    return Mixed(row, instead, quantity, swapped.grams, measure, asked, caution)


def _measurable(material: Material, unit: str) -> bool:
    """Whether the jar can be measured out in a unit; a recipe line is of mass or volume wherever the two differ."""
    return units.base_of(unit) == material.base or material.density_g_per_ml is not None


def _weighed(material: Material, quantity: Decimal) -> Decimal | None:
    """Grams; None of what is neither weighed nor of a known substance (eggs, vinegar)."""
    if material.base == "g" or material.substance:
        return grams(material, quantity)
    return None


def grams(material: Material, quantity: Decimal) -> Decimal:
    """Grams of a base quantity: of the material, and so of the substance that it names. `DensityNeeded` of an unweighed jar."""
    density = material.density_g_per_ml
    return units.to_base(quantity, material.base, "g", density_g_per_ml=density, name=_named(material))


def held(material: Material, grams: Decimal) -> Decimal:
    """Grams in the base unit a material is kept in."""
    density = material.density_g_per_ml
    return units.to_base(grams, "g", material.base, density_g_per_ml=density, name=_named(material))


def _named(material: Material) -> str:
    return f"{material.name} ({material.code})"
