"""Recipe lines to amounts and days: how much of a material goes in, in which step, and what the shelf allows.

Owns the bases on which a recipe line is calculated, and the days of a recipe. Must not hold any recipe's figures (those are
the maker's) or know units other than the base units g, mL, mm, cm² and piece.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Protocol

from costing.make.errors import MissingMeasure
from inventory.errors import Refused
from inventory.money import Exact, half_up

PLACES = 3

BASES: dict[str, str] = {
    "per_litre": "per litre of bath",
    "per_us_gallon": "per US gallon of bath",
    "per_imperial_gallon": "per imperial gallon of bath",
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


# By the size of the bath: litres that one of it is, exactly.
BY_BATH: dict[str, Fraction] = {
    "per_litre": Fraction(1),
    "per_us_gallon": Fraction("3.785411784"),
    "per_imperial_gallon": Fraction("4.54609"),
}
_GALLON_PLACES = 6

# Of each basis: the measure it needs, how to ask for it, and how many base units of it make one.
# 1 ft² = 929.0304 cm² exactly, because the international foot is 30.48 cm.
_RULES = {
    **{basis: ("litres", "the size of the bath", one) for basis, one in BY_BATH.items()},
    "percent_of_weight": ("weight_g", "the weight of the skins", Fraction(100)),
    "per_skin": ("skins", "how many skins go in", Fraction(1)),
    "per_dm2": ("area_cm2", "the area of the skins", Fraction(100)),
    "per_sq_ft": ("area_cm2", "the area of the skins", Fraction("929.0304")),
    "per_metre_edge": ("edge_mm", "the length of the edge", Fraction(1000)),
}


def scale(amount: Exact, basis: str, m: Measures, material_name: str) -> Decimal:
    """Amount of a material in base units, half up to three places: amount × measure / one unit of the basis.

    `amount` is base units per litre, per gallon, per skin, per dm², per sq ft or per metre; for `percent_of_weight` base units
    per 100 g of skin; `per_bath` is taken as it stands. Gallons are taken to six places, so that five that were typed and kept
    in millilitres are five. Raises MissingMeasure (a measure of zero is missing too); ValueError for a basis that does not exist.

    >>> scale(Decimal(80), "per_litre", Measures(litres=Decimal(18)), "potash alum")
    Decimal('1440.000')
    >>> scale(Fraction("453.59237"), "per_us_gallon", Measures(litres=Decimal("18.927059")), "salt")
    Decimal('2267.962')
    """
    if basis == "per_bath":
        return half_up(amount, PLACES)
    if basis not in _RULES:
        raise ValueError(f"no such basis: {basis!r}; use one of {', '.join(BASES)}")
    name, ask, one = _RULES[basis]
    measure: Decimal | int | None = getattr(m, name)
    if measure is None or measure <= 0:
        raise MissingMeasure(f"{material_name} is calculated {BASES[basis]}: enter {ask}.", field=name)
    times = Fraction(measure) / one
    if basis in BY_BATH and one != 1:
        times = Fraction(half_up(times, _GALLON_PLACES))
    return half_up(Fraction(amount) * times, PLACES)


def largest_bath(stock: Mapping[str, Decimal], per_litre: Mapping[str, Fraction]) -> tuple[Fraction, str]:
    """Litres of bath the shelf allows, exactly, and what allows no more: least of stock / amount per litre.

    Both by material, in base units and base units per litre. A material not on the shelf counts as none; of equals the
    first named limits. ValueError when no material is calculated per litre.

    >>> largest_bath({"alum": Decimal(560)}, {"alum": Fraction(80)})
    (Fraction(7, 1), 'alum')
    """
    allowed = {name: Fraction(stock.get(name, 0)) / rate for name, rate in per_litre.items() if rate > 0}
    if not allowed:
        raise ValueError("no material is calculated per litre, so the shelf sets no limit to the bath")
    name = min(allowed, key=lambda each: allowed[each])
    return allowed[name], name


def skins_allowed(litres: Decimal, litres_per_skin: Decimal) -> int:
    """Whole skins a bath covers: litres / litres per skin, to six places and then down: three gallons at one and a half are two.

    ValueError unless the latter is above zero.

    >>> skins_allowed(Decimal("7.0"), Decimal(6)), skins_allowed(Decimal("11.356235"), Decimal("5.678118"))
    (1, 2)
    """
    if litres_per_skin <= 0:
        raise ValueError(f"litres per skin must be above zero, not {litres_per_skin}")
    return int(half_up(Fraction(litres) / Fraction(litres_per_skin), _GALLON_PLACES))


class Timed(Protocol):
    """A step as far as its days go."""

    @property
    def name(self) -> str: ...
    @property
    def wait_days(self) -> int: ...
    @property
    def lasts_days(self) -> int: ...


# By step: the day of the recipe on which it begins and the one on which it ends, the first day of the recipe being 0.
Span = tuple[int, int]


def spans(steps: Iterable[Timed]) -> dict[str, Span]:
    """The days of each step by its name, in their order, no grace spent."""
    found, free = {}, 0
    for step in steps:
        begins = free + step.wait_days
        free = begins + step.lasts_days
        found[step.name] = (begins, free)
    return found


def tie(name: str, day: int | None, known: Mapping[str, Span]) -> tuple[str, int]:
    """The step and the day of the recipe on which something goes in, from its step's name, its day, or both.

    A step alone: as it begins. A day alone: the step that begins then, else the one that runs. `Refused` names both where
    they disagree, and says what there is where the step or its day is unknown.

    >>> bath = {"Mix": (9, 9), "Bath": (9, 20), "Oil": (21, 21)}
    >>> tie("bath", None, bath), tie("", 9, bath), tie("", 20, bath)
    (('Bath', 9), ('Mix', 9), ('Bath', 20))
    """
    if not name:
        return _running(day or 0, known), day or 0
    found = next((each for each in known if each.casefold() == name.casefold()), None)
    if found is None:
        there = f"Its steps are {', '.join(known)}." if known else "It has none."
        raise Refused(
            f"The recipe has no step “{name}”. {there} Words on how it is added go under “how”.", field="step"
        )
    begins, ends = known[found]
    if day is not None and not begins <= day <= ends:
        runs = f"on day {begins}" if begins == ends else f"from day {begins} to day {ends}"
        raise Refused(
            f"Day {day} and the step {found} do not agree: {found} runs {runs}, counted from the first day of the recipe. "
            "Correct one of them, or leave the day empty: it then goes in as the step begins.",
            field="day",
        )
    return found, begins if day is None else day


def _running(day: int, known: Mapping[str, Span]) -> str:
    """The step of a day; empty where the recipe has no steps. Refused for a day on which none runs."""
    if not known:
        return ""
    starts = (name for name, (begins, _) in known.items() if begins == day)
    runs = (name for name, (begins, ends) in known.items() if begins < day <= ends)
    if found := next(starts, None) or next(runs, None):
        return found
    later = next((f"{name} begins on day {begins}" for name, (begins, _) in known.items() if begins > day), "")
    last = list(known)[-1]
    raise Refused(
        f"No step runs on day {day} of the recipe: {later or f'its last step, {last}, ends on day {known[last][1]}'}. "
        "Name the step instead, or enter another day.",
        field="day",
    )
