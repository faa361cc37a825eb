"""What a batch needs: scaled amounts, what is still to be put in, and what the shelf allows.

What another alum or soda brought in place of a recipe's own counts against its line, by metal or by alkali.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from costing.make.batches.models import Batch, BatchSkin
from costing.make.baths.chemistry import substitution as chemistry
from costing.make.errors import MissingMeasure
from costing.make.recipes import rules as recipes
from costing.make.recipes.models import RecipeLine, RecipeVersion
from inventory.models import Material, Movement
from inventory.money import half_up

ML_PER_LITRE = Decimal(1000)
WEIGHED_OUT = Decimal("0.001")


@dataclass(frozen=True)
class Amount:
    """A recipe line scaled to a batch, in the material's base unit. `planned` None: a measure is missing, see `missing`.

    `used` counts what stood in for it, too; `instead` names that.
    """

    line: RecipeLine
    material: Material
    planned: Decimal | None
    used: Decimal
    missing: str = ""
    instead: tuple[str, ...] = ()

    @property
    def left(self) -> Decimal:
        return max(Decimal(0), (self.planned or Decimal(0)) - self.used)

    @property
    def short(self) -> Decimal:
        return max(Decimal(0), self.left - self.material.on_hand)

    def waits(self, state: str) -> bool:
        """Whether the rest is still to come: once a line of a batch in work was put in, the maker used what it took."""
        return state == Batch.State.PLANNED or (state == Batch.State.IN_WORK and not self.used)


@dataclass(frozen=True)
class ShelfAllows:
    """The largest bath the shelf allows: litres, whole skins where the recipe says litres a skin, and what limits it."""

    litres: Decimal
    skins: int | None
    limited_by: str

    def words(self) -> str:
        skins = "" if self.skins is None else f", {self.skins} skin{'' if self.skins == 1 else 's'}"
        return f"{self.litres} L{skins}"


def measures(batch: Batch, there: Sequence[BatchSkin] = ()) -> recipes.Measures:
    """What is known of the batch for scaling, by the skins that were `there`, or where none were by all that it has or is
    planned for. Skins planned but not yet named count by number, not by weight or area."""
    skins = [stay.skin for stay in there or batch.stays.all()]
    count = len(there) or max(batch.planned_skins, len(skins))
    weights = [skin.green_weight for skin in skins if skin.green_weight]
    areas = [area for skin in skins if (area := skin.wet_area or skin.dry_area)]
    whole = len(skins) == count > 0
    return recipes.Measures(
        litres=batch.litres / ML_PER_LITRE if batch.litres else None,
        skins=count,
        weight_g=sum(weights, Decimal(0)) if whole and len(weights) == len(skins) else None,
        area_cm2=sum(areas, Decimal(0)) if whole and len(areas) == len(skins) else None,
    )


@dataclass
class Sack:
    """What a batch took of one material, in its base unit, and what that is."""

    name: str
    substance: str
    base: str
    density: Decimal | None = None
    quantity: Decimal = Decimal(0)

    @property
    def grams(self) -> Decimal | None:
        """Of its substance; None of what is neither weighed nor has a density or strength."""
        each = _grams_each(self.base, self.density)
        return None if each is None else half_up(Fraction(self.quantity) * each, recipes.PLACES)


Taken = dict[int, dict[int, Sack]]


def used(batches: Iterable[Batch], until: date | None = None) -> Taken:
    """By batch and material: what was put in work by `until`, taken-back amounts left out."""
    totals: Taken = defaultdict(dict)
    rows = Movement.objects.filter(posting__use__batch__in=list(batches))
    if until is not None:
        rows = rows.filter(on__lte=until).exclude(posting__reversed_by__on__lte=until)
    else:
        rows = rows.filter(posting__reversed_by__isnull=True)
    named = ("material__name", "material__substance", "material__base", "material__density_g_per_ml")
    for batch, material, quantity, *sack in rows.values_list("posting__use__batch", "material", "quantity", *named):
        totals[batch].setdefault(material, Sack(*sack)).quantity -= quantity
    return totals


def amounts(batch: Batch, until: date | None = None, taken: Taken | None = None) -> list[Amount]:
    """The scaled list of a batch (from `detailed()`), what was used counted against the earliest lines of a material first."""
    if taken is None:
        taken = used([batch], until)
    sacks = {pk: replace(sack) for pk, sack in taken.get(batch.pk, {}).items()}
    known, lines = measures(batch), list(batch.version.lines.all())
    others = [sack for pk, sack in sacks.items() if pk not in {line.material_id for line in lines}]
    rows = []
    for line in lines:
        try:
            planned: Decimal | None = recipes.scale(line.amount, line.basis, known, line.material.name)
            missing = ""
        except MissingMeasure as refusal:
            planned, missing = None, str(refusal)
        wanted, own, went = planned or Decimal(0), sacks.get(line.material_id), Decimal(0)
        if own is not None:
            went = min(own.quantity, wanted)
            own.quantity -= went
        more, instead = _stood_in(line, wanted - went, others)
        rows.append(Amount(line, line.material, planned, went + more, missing, instead))
    return rows


def _stood_in(line: RecipeLine, wanted: Decimal, others: Iterable[Sack]) -> tuple[Decimal, tuple[str, ...]]:
    """How much of a line was put in as something else of its kind, and as what."""
    went, names = Decimal(0), []
    each = _grams_each(line.material.base, line.material.density_g_per_ml)
    kin = chemistry.family(line.material.substance) if each else ""
    for sack in others:
        missing, grams = wanted - went, sack.grams
        if missing <= 0 or not kin or not each or not grams or chemistry.family(sack.substance) != kin:
            continue
        brings = chemistry.substitute(grams, sack.substance, line.material.substance).grams
        worth = half_up(Fraction(brings) / each, recipes.PLACES)
        took = min(worth, missing)
        sack.quantity = half_up(Fraction(sack.quantity) * (1 - Fraction(took) / Fraction(worth)), recipes.PLACES)
        # It was weighed out to a tenth of a gram: what that leaves open is no rest still to be put in.
        went += missing if missing - took <= missing * WEIGHED_OUT else took
        names.append(sack.name)
    return went, tuple(names)


def _grams_each(base: str, density: Decimal | None) -> Fraction | None:
    """Grams that one base unit weighs; None where that is not known."""
    if base == "g":
        return Fraction(1)
    return Fraction(density) if base == "mL" and density else None


def shelf_allows(version: RecipeVersion) -> ShelfAllows | None:
    """The largest bath of this recipe from what is on the shelf; None when nothing in it goes by the litre."""
    lines = version.lines.select_related("material")
    rates = [(line.material, Fraction(line.amount)) for line in lines if line.basis == "per_litre"]
    return largest(rates, version.litres_per_skin)


def largest(
    rates: Iterable[tuple[Material, Fraction]],
    each_skin: Decimal | None,
    besides: Mapping[int, Decimal] = MappingProxyType({}),
) -> ShelfAllows | None:
    """The largest bath for materials at a rate a litre (base units); None without any. `each_skin` in mL.

    `besides` is what of a material (by primary key) is in the bath already and need not come from the shelf.
    """
    per_litre: dict[str, Fraction] = defaultdict(Fraction)
    stock: dict[str, Decimal] = {}
    for material, rate in rates:
        per_litre[material.name] += rate
        stock[material.name] = material.on_hand + besides.get(material.pk, Decimal(0))
    if not per_litre:
        return None
    litres, limited_by = recipes.largest_bath(stock, per_litre)
    skins = recipes.skins_allowed(litres, each_skin / ML_PER_LITRE) if each_skin else None
    return ShelfAllows(litres, skins, limited_by)
