"""A bath as the maker mixes it: what goes in, in which order and measure, what meets in it, what it costs, whether it fits.

Reads only. The chemistry is in `chemistry.bath`, the room in `chemistry.vessels`, what goes in comes from `mixing`; here
they meet the shelf and its prices.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.make.batches.requirements import selectors as requirements
from costing.make.baths.chemistry import bath as chemistry, cautions, substitution as chemistry_substitution
from costing.make.baths.mixing import selectors as mixing
from costing.make.errors import MissingMeasure, VesselTooSmall
from costing.make.recipes import rules as recipes, selectors as recipes_read
from costing.make.recipes.models import RecipeLine, RecipeVersion
from inventory import money
from inventory.base import measures, selectors as workshop
from inventory.errors import Refused
from inventory.ledger import selectors as ledger
from inventory.materials import selectors as materials
from inventory.models import Material, Place

MILLILITRES = Decimal(1000)
HOTTEST = 100


@dataclass(frozen=True)
class BathLine(mixing.Mixed):
    """One thing that goes in. `weight` is in the material's own unit, `short` in its base unit.

    `value`: what it would leave the shelf with; None while nothing is there to price it by.
    """

    weight: str
    short: Decimal
    value: Decimal | None
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
    def cost_of_one(self) -> Decimal:
        """Cost of one of the workshop's own measure."""
        return money.half_up(measures.of_one(self.cost, self.litres), workshop.places())

    @property
    def cost_per_skin(self) -> Decimal | None:
        return money.half_up(Fraction(self.cost) / self.skins, workshop.places()) if self.skins else None


def bath(
    version: RecipeVersion,
    litres: Decimal | None = None,
    *,
    skins: int | None = None,
    weight_g: Decimal | None = None,
    float_ratio: Decimal | None = None,
    celsius: Decimal = chemistry.SHED_CELSIUS,
    use: Sequence[Material] = (),
    vessel: Place | None = None,
    day: int | None = None,
) -> Bath:
    """Everything of a bath of a recipe version at the shed's temperature; each of `use` takes the place of its like.

    Litres left out: skin weight × float, else the most that a measured vessel holds. Skins left out: as many as the
    litres cover by the version's litres a skin. `NotAbove`, `MissingMeasure`, `DensityNeeded` for a measure of cups that no
    weighed jar backs; refused, too, where nothing goes by the litre, for a temperature that no bath has, a stand-in that
    replaces nothing, and one by volume of unknown strength.
    """
    if litres is None:
        litres = _litres_of(version, weight_g, float_ratio, vessel)
    _refuse_figures(litres, weight_g, celsius, skins)
    baths = mixing.by_day(version)
    if not baths or (day is not None and day not in baths):
        raise _no_bath(version, day, baths)
    day = next(iter(baths)) if day is None else day
    heads = skins or _heads(version, litres)
    known = recipes.Measures(litres=litres, skins=heads or 0, weight_g=weight_g)
    mixed = [mixing.mix(row, known, instead) for row, instead in mixing.with_swaps(baths[day], use)]
    weighed = [
        chemistry.Line(each.material.name, each.material.substance, each.grams)
        for each in mixed
        if each.grams is not None
    ]
    facts = chemistry.bath_facts(weighed, litres, celsius=celsius)
    wanted = [(each.material, each.quantity) for each in mixed]
    priced = ledger.worth(wanted, workshop.today())
    lines = tuple(
        _line(each, short, value, froths=facts.froth_warning)
        for each, short, value in zip(mixed, mixing.shorts(wanted), priced, strict=True)
    )
    rates = [
        (each.material, Fraction(each.quantity) / Fraction(litres))
        for each in mixed
        if each.recipe.basis in recipes.BY_BATH
    ]
    return Bath(
        version=version,
        litres=litres,
        celsius=celsius,
        skins=heads,
        day=day,
        other_days=tuple(other for other in baths if other != day),
        lines=lines,
        facts=facts,
        offer=None if weight_g is None else chemistry_substitution.offer(weighed, weight_g),
        cost=sum((value for value in priced if value is not None), Decimal(0)),
        unpriced=tuple(line.material.name for line in lines if line.value is None),
        allows=requirements.largest(rates, version.litres_per_skin),
        vessel=vessel,
        too_small=_fits(litres, vessel, facts.headroom_litres),
        cautions=cautions.for_substances(each.material.substance for each in mixed if each.material.substance),
    )


def all_of(version: RecipeVersion) -> list[list[RecipeLine]]:
    """The lines of each bath of a recipe, in the order of their days; nothing where nothing goes by the litre."""
    return [rows for _, rows in sorted(mixing.by_day(version).items())]


def _no_bath(version: RecipeVersion, day: int | None, days: Iterable[int]) -> Refused:
    known = " and ".join(map(str, days))
    if known:
        said = f"{version.recipe} mixes no bath on day {day}; it does on day {known}. Name one of these."
        return Refused(said, field="day")
    return Refused(
        f"{version.recipe} calculates nothing per litre, so it has no bath to work out. Plan a batch by it: the batch's page "
        "says how much goes in."
    )


def _litres_of(
    version: RecipeVersion, weight_g: Decimal | None, float_ratio: Decimal | None, place: Place | None
) -> Decimal:
    if weight_g is not None and float_ratio is not None:
        return chemistry.litres_from_weight(weight_g, float_ratio)
    why = "How large the bath is to be is not known."
    if place is not None:
        if place.litres and (found := largest_in(version, place)):
            return found
        none = f"{place.name} holds no bath by {version.recipe} with room for its froth."
        why = none if place.litres else f"{why} Nobody has measured how much {place.name} holds."
    ways = "Give its size, or the drained weight of the skins and the float, or a tub that was measured."
    raise Refused(f"{why} {ways}", field="litres")


def misfit(version: RecipeVersion, litres: Decimal, place: Place | None, *, skins: int = 0) -> VesselTooSmall | None:
    """Why a place of known litres does not hold a bath with the room it needs; None where it does or nobody measured it.

    What a recipe line is reckoned by and nobody has measured yet is left out.
    """
    if place is None or not place.litres:
        return None
    known = recipes.Measures(litres=litres, skins=skins or _heads(version, litres) or 0)
    found = []
    for row in next(iter(mixing.by_day(version).values()), ()):
        try:
            quantity = recipes.scale(recipes_read.exact(row), row.basis, known, row.material.name)
        except MissingMeasure:
            continue
        if row.material.substance and mixing.weighable(row.material):
            grams = mixing.grams(row.material, quantity)
            found.append(chemistry.Line(row.material.name, row.material.substance, grams))
    return _fits(litres, place, chemistry.bath_facts(found, litres).headroom_litres)


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
    chemistry.above("The bath", litres, "enter its size", "litres")
    if weight_g is not None:
        chemistry.above("The weight of the skins", weight_g, "weigh them drained", "weight_g")
    if skins is not None:
        chemistry.above("The number of skins", Decimal(skins), "enter how many, or leave it out", "skins")
    if not 0 <= celsius <= HOTTEST:
        raise Refused(
            f"A bath at a temperature (°C) of {celsius} cannot be: it lies from 0 to 100. Read it again, or correct the entry.",
            field="celsius",
        )


def _heads(version: RecipeVersion, litres: Decimal) -> int | None:
    each = version.litres_per_skin
    return recipes.skins_allowed(litres, each / MILLILITRES) or None if each else None


def _line(each: mixing.Mixed, short: Decimal, value: Decimal | None, *, froths: bool) -> BathLine:
    soda = chemistry_substitution.family(each.material.substance) == "soda"
    told = (chemistry.FROTH_CAUTION if froths and soda else "", materials.noted(each.material))
    weight = mixing.in_measure(each.material, each.quantity, each.material.unit)
    return BathLine(**vars(each), weight=weight, short=short, value=value, care=tuple(filter(None, told)))


def _fits(litres: Decimal, place: Place | None, room: Decimal) -> VesselTooSmall | None:
    if place is None or not place.litres:
        return None
    found = chemistry.fits(litres, place.litres / MILLILITRES, room)
    return found and found.told(measures.bath, measures.within)


def kin(lines: Sequence[RecipeLine]) -> dict[str, list[Material]]:
    """What could stand in for lines of a bath, by kind: every other material of a kind that they use."""
    family = chemistry_substitution.family
    used = {family(line.material.substance) for line in lines}
    others = Material.objects.exclude(substance="").exclude(pk__in=[line.material_id for line in lines])
    shelf = list(others.order_by("name"))
    return {kind: [row for row in shelf if family(row.substance) == kind] for kind in ("alum", "soda") if kind in used}
