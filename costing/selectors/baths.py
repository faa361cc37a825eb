"""A bath as the maker mixes it: what goes in, in which order and measure, what meets in it, what it costs, whether it fits.

Reads only. The chemistry is `costing.bath`, the room `costing.vessel`; here they meet the maker's recipe, jars and shelf.

Which lines of a recipe are one bath: those reckoned per litre on one day, and lines on another basis that stand in the
same step on that day (words up to the first comma: “bath” and “bath, dissolved and slowly” are one). A recipe that is
reckoned per litre on several days has as many baths; the first is meant unless `day` names another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing import bath as chemistry
from costing import cautions, scaling, vessel
from costing.errors import MissingMeasure, NoBath, NothingToReplace, ReadingImpossible, SizeNeeded, VesselTooSmall
from costing.models import RecipeLine, RecipeVersion
from costing.selectors import batches, recipes
from inventory import money, units
from inventory.errors import DensityNeeded
from inventory.models import Material, Place
from inventory.selectors import leaving, workshop

MILLILITRES = Decimal(1000)
HOTTEST = 100


@dataclass(frozen=True)
class BathLine:
    """One thing that goes in. `asked` is the recipe's own amount in its own measure; `instead_of` what it takes the place of.

    `quantity` and `short` are in the material's base unit, `measure` in the unit the recipe was written in, `weight` in
    the material's own. `value`: what it would leave the shelf with; None while nothing is there to price it by.
    """

    recipe: RecipeLine
    material: Material
    quantity: Decimal
    measure: str
    weight: str
    asked: str
    grams: Decimal | None
    short: Decimal
    value: Decimal | None
    caution: str
    care: tuple[str, ...]

    @property
    def instead_of(self) -> Material | None:
        return self.recipe.material if self.material.pk != self.recipe.material_id else None


@dataclass(frozen=True)
class Bath:
    """A bath of `litres`. `cost` is of what can be priced; `unpriced` names the rest. `allows`: the largest the shelf lets
    one make, with what is used instead. `too_small`: why the vessel does not hold it, with the bath that it would."""

    version: RecipeVersion
    litres: Decimal
    celsius: Decimal
    skins: int | None
    weight_g: Decimal | None
    day: int
    other_days: tuple[int, ...]
    lines: tuple[BathLine, ...]
    facts: chemistry.BathFacts
    offer: chemistry.Offer | None
    cost: Decimal
    unpriced: tuple[str, ...]
    allows: batches.ShelfAllows | None
    vessel: Place | None
    too_small: VesselTooSmall | None
    cautions: tuple[cautions.Caution, ...]

    @property
    def cost_per_litre(self) -> Decimal:
        return money.half_up(Fraction(self.cost) / Fraction(self.litres), workshop.places())

    @property
    def cost_per_skin(self) -> Decimal | None:
        return money.half_up(Fraction(self.cost) / self.skins, workshop.places()) if self.skins else None


def bath(
    version: RecipeVersion,
    litres: Decimal,
    *,
    skins: int | None = None,
    weight_g: Decimal | None = None,
    celsius: Decimal = chemistry.SHED_CELSIUS,
    use: Sequence[Material] = (),
    vessel: Place | None = None,
    day: int | None = None,
) -> Bath:
    """Everything of a bath of a recipe version at the shed's temperature; each of `use` takes the place of its like.

    Skins left out: as many as the litres cover by the version's litres a skin. `NoBath` where nothing goes by the litre,
    `NotAbove`, `ReadingImpossible`, `MissingMeasure`, `DensityNeeded` for a measure of cups that no weighed jar backs, and
    `NothingToReplace`.
    """
    _refuse_figures(litres, weight_g, celsius)
    day, others, rows = _bath_lines(version, day)
    heads = skins or _heads(version, litres)
    known = scaling.Measures(litres=litres, skins=heads or 0, weight_g=weight_g)
    mixed = [_mix(row, known, instead) for row, instead in _with_swaps(rows, use)]
    facts = chemistry.bath_facts([_counted(each) for each in mixed if each.grams is not None], litres, celsius=celsius)
    priced = leaving.worth([(each.material, each.quantity) for each in mixed], workshop.today())
    shorts = _shorts(mixed)
    lines = tuple(_line(each, short, value, facts) for each, short, value in zip(mixed, shorts, priced, strict=True))
    return Bath(
        version=version,
        litres=litres,
        celsius=celsius,
        skins=heads,
        weight_g=weight_g,
        day=day,
        other_days=others,
        lines=lines,
        facts=facts,
        offer=_offer(mixed, weight_g),
        cost=sum((value for value in priced if value is not None), Decimal(0)),
        unpriced=tuple(line.material.name for line in lines if line.value is None),
        allows=_allows(version, mixed, litres),
        vessel=vessel,
        too_small=_fits(litres, vessel, facts.headroom_litres),
        cautions=cautions.for_substances(each.material.substance for each in mixed if each.material.substance),
    )


def all_of(version: RecipeVersion) -> list[list[RecipeLine]]:
    """The lines of each bath of a recipe, in the order of their days; nothing where nothing goes by the litre."""
    try:
        first, others, _ = _bath_lines(version, None)
    except NoBath:
        return []
    return [_bath_lines(version, day)[2] for day in sorted((first, *others))]


def litres_of(
    version: RecipeVersion,
    *,
    litres: Decimal | None = None,
    weight_g: Decimal | None = None,
    float_ratio: Decimal | None = None,
    place: Place | None = None,
) -> Decimal:
    """How large a bath was asked for: its litres, else skin weight × float, else the most that a measured tub holds.

    `SizeNeeded` where none of the three is told, or the tub holds none at all.
    """
    if litres is not None:
        return litres
    if weight_g is not None and float_ratio is not None:
        return vessel.litres_from_weight(weight_g, float_ratio)
    if place is not None and place.litres:
        found = largest_in(version, place)
        if found is None:
            raise SizeNeeded(f"{place.name} holds no bath by {version.recipe} with room for its froth.")
        return found
    unmeasured = f" Nobody has measured how much {place.name} holds." if place is not None else ""
    raise SizeNeeded(f"How large the bath is to be is not known.{unmeasured}")


def stand_ins(line: RecipeLine, shelf: Sequence[Material]) -> list[Material]:
    """Materials on the shelf that could take the place of a line: another alum for an alum, another soda for a soda."""
    kin = chemistry.family(line.material.substance)
    return [row for row in shelf if kin and row.pk != line.material_id and chemistry.family(row.substance) == kin]


def stand_in(line: RecipeLine, quantity: Decimal, instead: Material) -> chemistry.Substitute:
    """What of another material brings the metal or the alkali of `quantity` (base unit) of a recipe line."""
    grams = _grams(line.material, quantity)
    return chemistry.substitute(chemistry.Line(line.material.name, line.material.substance, grams), instead.substance)


def headroom(version: RecipeVersion, litres: Decimal, known: scaling.Measures) -> Decimal:
    """Litres of room above a bath for its froth; nought where the recipe mixes none. What is not measured yet is left out."""
    try:
        _, _, rows = _bath_lines(version, None)
    except NoBath:
        return Decimal(0)
    found = []
    for row in rows:
        try:
            quantity = scaling.scale(row.amount, row.basis, known, row.material.name)
        except MissingMeasure:
            continue
        if row.material.substance and row.material.base == "g":
            found.append(chemistry.Line(row.material.name, row.material.substance, quantity))
    return chemistry.bath_facts(found, litres).headroom_litres


def misfit(version: RecipeVersion, litres: Decimal, place: Place | None, *, skins: int = 0) -> VesselTooSmall | None:
    """Why a place of known litres does not hold a bath with the room it needs; None where it does or nobody measured it."""
    if place is None or not place.litres:
        return None
    known = scaling.Measures(litres=litres, skins=skins or _heads(version, litres) or 0)
    return _fits(litres, place, headroom(version, litres, known))


def largest_in(version: RecipeVersion, place: Place) -> Decimal | None:
    """The largest bath, down to a tenth of a litre, that a tub of known litres holds with the room above it; None if none."""
    litres = (place.litres or Decimal(0)) / MILLILITRES
    while litres > 0:
        refusal = misfit(version, litres, place)
        if refusal is None:
            return litres
        # A bath whose gas does not shrink with it still needs its room: then go down by the least step.
        litres = min(refusal.largest, litres - Decimal("0.1"))
    return None


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
    places = 1 if size <= 1 else 2 if size < MILLILITRES else 3
    return f"{money.half_up(units.from_base(held, unit), places).normalize():f} {units.label(unit)}"


@dataclass(frozen=True)
class _Mixed:
    """A line scaled and, where asked, replaced; not yet priced."""

    recipe: RecipeLine
    material: Material
    quantity: Decimal
    grams: Decimal | None
    measure: str
    asked: str
    caution: str


def _refuse_figures(litres: Decimal, weight_g: Decimal | None, celsius: Decimal) -> None:
    vessel.above("The bath", litres, "enter its litres", "litres")
    if weight_g is not None:
        vessel.above("The weight of the skins", weight_g, "weigh them drained", "weight_g")
    if not 0 <= celsius <= HOTTEST:
        raise ReadingImpossible("A bath at a temperature (°C)", celsius, "it lies from 0 to 100", field="celsius")


def _bath_lines(version: RecipeVersion, day: int | None) -> tuple[int, tuple[int, ...], list[RecipeLine]]:
    """The day of the bath, the days of the recipe's other baths, and the lines in the order of adding."""
    rows = list(version.lines.select_related("material").order_by("position"))
    days = list(dict.fromkeys(row.day for row in rows if row.basis == "per_litre"))
    if not days or (day is not None and day not in days):
        raise NoBath(str(version.recipe), day, tuple(days))
    chosen = days[0] if day is None else day
    together = {_step(row) for row in rows if row.basis == "per_litre" and row.day == chosen}
    found = [row for row in rows if row.day == chosen and (row.basis == "per_litre" or _step(row) in together)]
    return chosen, tuple(each for each in days if each != chosen), found


def _step(row: RecipeLine) -> str:
    return row.step.split(",")[0].strip().casefold()


def _heads(version: RecipeVersion, litres: Decimal) -> int | None:
    each = version.litres_per_skin
    return scaling.skins_allowed(litres, each / MILLILITRES) or None if each else None


def _with_swaps(rows: Sequence[RecipeLine], use: Sequence[Material]) -> list[tuple[RecipeLine, Material | None]]:
    """Each line with what goes in instead, if anything."""
    chosen: dict[str, Material] = {}
    for material in use:
        kin = chemistry.family(material.substance)
        if not kin or not any(chemistry.family(row.material.substance) == kin for row in rows):
            raise NothingToReplace(material.name, kin)
        if kin in chosen:
            raise NothingToReplace(material.name, kin, other=chosen[kin].name)
        chosen[kin] = material
    found = []
    for row in rows:
        instead = chosen.get(chemistry.family(row.material.substance))
        found.append((row, None if instead is None or instead.pk == row.material_id else instead))
    return found


def _mix(row: RecipeLine, known: scaling.Measures, instead: Material | None) -> _Mixed:
    material = row.material
    quantity = scaling.scale(row.amount, row.basis, known, material.name)
    _, unit = recipes.typed(row)
    unit = material.unit if unit == "%" else unit
    asked = in_measure(material, quantity, unit)
    if instead is None:
        return _Mixed(row, material, quantity, _weighed(material, quantity), asked, asked, "")
    swapped = stand_in(row, quantity, instead)
    quantity = _held(instead, swapped.grams)
    # The same substance out of another sack is no other tanning.
    caution = "" if instead.substance == material.substance else swapped.caution
    measure = in_measure(instead, quantity, unit if _measurable(instead, unit) else instead.unit)
    return _Mixed(row, instead, quantity, swapped.grams, measure, asked, caution)


def _measurable(material: Material, unit: str) -> bool:
    """Whether the jar can be measured out in a unit; a recipe line is of mass or volume wherever the two differ."""
    return units.base_of(unit) == material.base or material.density_g_per_ml is not None


def _weighed(material: Material, quantity: Decimal) -> Decimal | None:
    """Grams; None of what is neither weighed nor of a known substance (eggs, vinegar)."""
    if material.base == "g" or material.substance:
        return _grams(material, quantity)
    return None


def _grams(material: Material, quantity: Decimal) -> Decimal:
    density = material.density_g_per_ml
    return units.to_base(quantity, material.base, "g", density_g_per_ml=density, name=_named(material))


def _held(material: Material, grams: Decimal) -> Decimal:
    """Grams in the base unit a material is kept in."""
    density = material.density_g_per_ml
    return units.to_base(grams, "g", material.base, density_g_per_ml=density, name=_named(material))


def _named(material: Material) -> str:
    return f"{material.name} ({material.code})"


def _counted(each: _Mixed) -> chemistry.Line:
    return chemistry.Line(each.material.name, each.material.substance, each.grams or Decimal(0))


def _shorts(mixed: Sequence[_Mixed]) -> list[Decimal]:
    """What the shelf lacks of each line, earlier lines served first."""
    left = {each.material.pk: each.material.on_hand for each in mixed}
    found = []
    for each in mixed:
        taken = min(each.quantity, left[each.material.pk])
        left[each.material.pk] -= taken
        found.append(each.quantity - taken)
    return found


def _line(each: _Mixed, short: Decimal, value: Decimal | None, facts: chemistry.BathFacts) -> BathLine:
    froths = facts.froth_warning and chemistry.family(each.material.substance) == "soda"
    told = (facts.caution if froths else "", each.material.hazard_note)
    return BathLine(
        recipe=each.recipe,
        material=each.material,
        quantity=each.quantity,
        measure=each.measure,
        weight=in_measure(each.material, each.quantity, each.material.unit),
        asked=each.asked,
        grams=each.grams,
        short=short,
        value=value,
        caution=each.caution,
        care=tuple(words for words in told if words),
    )


def _offer(mixed: Sequence[_Mixed], weight_g: Decimal | None) -> chemistry.Offer | None:
    if weight_g is None:
        return None
    return chemistry.offer([_counted(each) for each in mixed if each.grams is not None], [weight_g])


def _allows(version: RecipeVersion, mixed: Sequence[_Mixed], litres: Decimal) -> batches.ShelfAllows | None:
    rates = [
        (each.material, Fraction(each.quantity) / Fraction(litres))
        for each in mixed
        if each.recipe.basis == "per_litre"
    ]
    return batches.largest(rates, version.litres_per_skin)


def _fits(litres: Decimal, place: Place | None, room: Decimal) -> VesselTooSmall | None:
    if place is None or not place.litres:
        return None
    return vessel.fits(litres, place.litres / MILLILITRES, room)
