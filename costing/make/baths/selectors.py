"""A bath as the maker mixes it: what goes in, in which order and measure, what meets in it, what it costs, whether it fits.

Reads only. The chemistry is `costing.bath`, the room `costing.vessel`, what goes in `costing.selectors.mixing`; here they
meet the shelf and its prices.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.make.batches.requirements import selectors as requirements
from costing.make.baths.chemistry import bath as chemistry
from costing.make.baths.chemistry import cautions
from costing.make.baths.chemistry import substitution as chemistry_substitution
from costing.make.baths.chemistry import vessels as vessel
from costing.make.baths.mixing import selectors as mixing
from costing.make.errors import MissingMeasure, NoBath, VesselTooSmall
from costing.make.recipes import rules as recipes
from costing.make.recipes.models import RecipeLine, RecipeVersion
from inventory import money
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.ledger import selectors as ledger
from inventory.models import Material, Place

MILLILITRES = Decimal(1000)
HOTTEST = 100
# The kinds of which one may stand in for another.
ALIKE = ("alum", "soda")


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
    offer: chemistry_substitution.Offer | None
    cost: Decimal
    unpriced: tuple[str, ...]
    allows: requirements.ShelfAllows | None
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
    `NotAbove`, `MissingMeasure`, `DensityNeeded` for a measure of cups that no weighed jar backs; refused for a temperature
    that no bath has, a stand-in that has no like in it, and one by volume of which no strength is known.
    """
    _refuse_figures(litres, weight_g, celsius, skins)
    day, others, rows = mixing.bath_lines(version, day)
    heads = skins or _heads(version, litres)
    known = recipes.Measures(litres=litres, skins=heads or 0, weight_g=weight_g)
    mixed = [mixing.mix(row, known, instead) for row, instead in mixing.with_swaps(rows, use)]
    facts = chemistry.bath_facts([_counted(each) for each in mixed if each.grams is not None], litres, celsius=celsius)
    priced = ledger.worth([(each.material, each.quantity) for each in mixed], workshop.today())
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
        first, others, _ = mixing.bath_lines(version, None)
    except NoBath:
        return []
    return [mixing.bath_lines(version, day)[2] for day in sorted((first, *others))]


def litres_of(
    version: RecipeVersion,
    *,
    litres: Decimal | None = None,
    weight_g: Decimal | None = None,
    float_ratio: Decimal | None = None,
    place: Place | None = None,
) -> Decimal:
    """How large a bath was asked for: its litres, else skin weight × float, else the most that a measured tub holds.

    Refused where none of the three is told, or the tub holds none at all.
    """
    if litres is not None:
        return litres
    if weight_g is not None and float_ratio is not None:
        return vessel.litres_from_weight(weight_g, float_ratio)
    if place is not None and place.litres:
        found = largest_in(version, place)
        if found is None:
            raise _size_needed(f"{place.name} holds no bath by {version.recipe} with room for its froth.")
        return found
    unmeasured = f" Nobody has measured how much {place.name} holds." if place is not None else ""
    raise _size_needed(f"How large the bath is to be is not known.{unmeasured}")


def _size_needed(why: str) -> Refused:
    ways = "Give its litres, or the drained weight of the skins and the litres to each kg, or a tub that was measured."
    return Refused(f"{why} {ways}", field="litres")


def headroom(version: RecipeVersion, litres: Decimal, known: recipes.Measures) -> Decimal:
    """Litres of room above a bath for its froth; zero where the recipe mixes none. What is not measured yet is left out."""
    try:
        _, _, rows = mixing.bath_lines(version, None)
    except NoBath:
        return Decimal(0)
    found = []
    for row in rows:
        try:
            quantity = recipes.scale(row.amount, row.basis, known, row.material.name)
        except MissingMeasure:
            continue
        if row.material.substance and mixing.weighable(row.material):
            grams = mixing.grams(row.material, quantity)
            found.append(chemistry.Line(row.material.name, row.material.substance, grams))
    return chemistry.bath_facts(found, litres).headroom_litres


def misfit(version: RecipeVersion, litres: Decimal, place: Place | None, *, skins: int = 0) -> VesselTooSmall | None:
    """Why a place of known litres does not hold a bath with the room it needs; None where it does or nobody measured it."""
    if place is None or not place.litres:
        return None
    known = recipes.Measures(litres=litres, skins=skins or _heads(version, litres) or 0)
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


def _refuse_figures(litres: Decimal, weight_g: Decimal | None, celsius: Decimal, skins: int | None) -> None:
    vessel.above("The bath", litres, "enter its litres", "litres")
    if weight_g is not None:
        vessel.above("The weight of the skins", weight_g, "weigh them drained", "weight_g")
    if skins is not None:
        vessel.above("The number of skins", Decimal(skins), "enter how many, or leave it out", "skins")
    if not 0 <= celsius <= HOTTEST:
        raise Refused(
            f"A bath at a temperature (°C) of {celsius} cannot be: it lies from 0 to 100. Read it again, or correct the entry.",
            field="celsius",
        )


def _heads(version: RecipeVersion, litres: Decimal) -> int | None:
    each = version.litres_per_skin
    return recipes.skins_allowed(litres, each / MILLILITRES) or None if each else None


def _counted(each: mixing.Mixed) -> chemistry.Line:
    return chemistry.Line(each.material.name, each.material.substance, each.grams or Decimal(0))


def _shorts(mixed: Sequence[mixing.Mixed]) -> list[Decimal]:
    """What the shelf lacks of each line, earlier lines served first."""
    left = {each.material.pk: each.material.on_hand for each in mixed}
    found = []
    for each in mixed:
        taken = min(each.quantity, left[each.material.pk])
        left[each.material.pk] -= taken
        found.append(each.quantity - taken)
    return found


def _line(each: mixing.Mixed, short: Decimal, value: Decimal | None, facts: chemistry.BathFacts) -> BathLine:
    froths = facts.froth_warning and chemistry_substitution.family(each.material.substance) == "soda"
    told = (facts.caution if froths else "", each.material.hazard_note)
    return BathLine(
        recipe=each.recipe,
        material=each.material,
        quantity=each.quantity,
        measure=each.measure,
        weight=mixing.in_measure(each.material, each.quantity, each.material.unit),
        asked=each.asked,
        grams=each.grams,
        short=short,
        value=value,
        caution=each.caution,
        care=tuple(words for words in told if words),
    )


def _offer(mixed: Sequence[mixing.Mixed], weight_g: Decimal | None) -> chemistry_substitution.Offer | None:
    if weight_g is None:
        return None
    return chemistry_substitution.offer([_counted(each) for each in mixed if each.grams is not None], [weight_g])


def _allows(version: RecipeVersion, mixed: Sequence[mixing.Mixed], litres: Decimal) -> requirements.ShelfAllows | None:
    rates = [
        (each.material, Fraction(each.quantity) / Fraction(litres))
        for each in mixed
        if each.recipe.basis == "per_litre"
    ]
    return requirements.largest(rates, version.litres_per_skin)


def _fits(litres: Decimal, place: Place | None, room: Decimal) -> VesselTooSmall | None:
    if place is None or not place.litres:
        return None
    return vessel.fits(litres, place.litres / MILLILITRES, room)


def kin(lines: Sequence[RecipeLine]) -> dict[str, list[Material]]:
    """What could stand in, by kind: every other material of a kind that the recipe uses."""
    poured = [line.material for line in lines if line.basis == "per_litre"]
    used = {chemistry_substitution.family(row.substance) for row in poured}
    ours = {row.pk for row in poured}
    shelf = [row for row in Material.objects.exclude(substance="").order_by("name") if row.pk not in ours]
    return {
        kind: [row for row in shelf if chemistry_substitution.family(row.substance) == kind]
        for kind in ALIKE
        if kind in used
    }
