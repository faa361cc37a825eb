"""Recipe lines to amounts: how much of a material this bath, these skins, this edge take; and what the shelf allows.

Owns the bases on which a recipe line is calculated. Must not hold any recipe's figures (those are the maker's) or know
units other than the base units g, mL, mm, cm² and piece.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.make.errors import MissingMeasure
from inventory.money import half_up

PLACES = 3

BASES: dict[str, str] = {
    "per_litre": "per litre of bath",
    "percent_of_weight": "as % of skin weight",
    "per_skin": "per skin",
    "per_dm2": "per dm²",
    "per_sq_ft": "per sq ft",
    "per_metre_edge": "per metre of edge",
    "per_bath": "per bath",
}


@dataclass(frozen=True)
class Measures:
    """What is known of a batch: litres of bath, number of skins, their weight, area and edge in base units."""

    litres: Decimal | None = None
    skins: int = 0
    weight_g: Decimal | None = None
    area_cm2: Decimal | None = None
    edge_mm: Decimal | None = None


# Of each basis: the measure it needs, how to ask for it, and how many base units of it make one.
# 1 ft² = 929.0304 cm² exactly, because the international foot is 30.48 cm.
_RULES = {
    "per_litre": ("litres", "the litres of the bath", Fraction(1)),
    "percent_of_weight": ("weight_g", "the weight of the skins", Fraction(100)),
    "per_skin": ("skins", "how many skins go in", Fraction(1)),
    "per_dm2": ("area_cm2", "the area of the skins", Fraction(100)),
    "per_sq_ft": ("area_cm2", "the area of the skins", Fraction("929.0304")),
    "per_metre_edge": ("edge_mm", "the length of the edge", Fraction(1000)),
}


def scale(amount: Decimal, basis: str, m: Measures, material_name: str) -> Decimal:
    """Amount of a material in base units, half up to three places: amount × measure / one unit of the basis.

    `amount` is base units per litre, per skin, per dm², per sq ft or per metre; for `percent_of_weight` base units per
    100 g of skin; `per_bath` is taken as it stands. Raises MissingMeasure (a measure of zero is missing too);
    ValueError for a basis that does not exist.

    >>> scale(Decimal(80), "per_litre", Measures(litres=Decimal(18)), "potash alum")
    Decimal('1440.000')
    """
    if basis == "per_bath":
        return half_up(amount, PLACES)
    if basis not in _RULES:
        raise ValueError(f"no such basis: {basis!r}; use one of {', '.join(BASES)}")
    name, ask, one = _RULES[basis]
    measure: Decimal | int | None = getattr(m, name)
    if measure is None or measure <= 0:
        raise MissingMeasure(f"{material_name} is calculated {BASES[basis]}: enter {ask}.", field=name)
    return half_up(Fraction(amount) * Fraction(measure) / one, PLACES)


def largest_bath(stock: Mapping[str, Decimal], per_litre: Mapping[str, Fraction]) -> tuple[Decimal, str]:
    """Litres of bath the shelf allows, and what allows no more: least of stock / amount per litre, down to a whole 0.1 L.

    Both by material, in base units and base units per litre. A material not on the shelf counts as none; of equals the
    first named limits. ValueError when no material is calculated per litre.

    >>> largest_bath({"alum": Decimal(560)}, {"alum": Fraction(80)})
    (Decimal('7.0'), 'alum')
    """
    allowed = {name: Fraction(stock.get(name, 0)) / rate for name, rate in per_litre.items() if rate > 0}
    if not allowed:
        raise ValueError("no material is calculated per litre, so the shelf sets no limit to the bath")
    name = min(allowed, key=lambda each: allowed[each])
    return Decimal(int(allowed[name] * 10 // 1)).scaleb(-1), name


def skins_allowed(litres: Decimal, litres_per_skin: Decimal) -> int:
    """Whole skins a bath covers: litres / litres per skin, rounded down. ValueError unless the latter is above zero.

    >>> skins_allowed(Decimal("7.0"), Decimal(6))
    1
    """
    if litres_per_skin <= 0:
        raise ValueError(f"litres per skin must be above zero, not {litres_per_skin}")
    return int(Fraction(litres) / Fraction(litres_per_skin) // 1)
