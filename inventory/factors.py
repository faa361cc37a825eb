"""The units there are: their names and spellings, the system and the base unit of each, and its exact factor.

The factors come from `units.txt` beside this file, through one `pint` registry that is built on first use and asked once per
unit. Bare words that mean different sizes (cup, gallon, ounce, ton ...) are refused with the choices named.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.errors import Refused, meant

if TYPE_CHECKING:
    import pint

METRIC = ("g", "mL", "mm", "cm2", "piece")
BASES = (*METRIC, "oz", "us_fluid_ounce", "imperial_fluid_ounce", "cubic_inch", "inch", "sq_inch")
# What a unit of no metric measure is counted in; a unit named after its system is found by that.
_COUNTED = {
    **dict.fromkeys(("oz", "lb", "short_ton", "long_ton"), "oz"),
    **dict.fromkeys(("inch", "foot", "yard"), "inch"),
    **dict.fromkeys(("sq_inch", "sq_ft", "sq_yard"), "sq_inch"),
    **dict.fromkeys(("cubic_inch", "board_foot"), "cubic_inch"),
}

# Canonical names of the units offered in forms.
KNOWN = (
    *("g", "kg", "oz", "lb"),
    *("mL", "dL", "L", "us_gallon", "imperial_gallon", "us_quart", "imperial_quart", "us_pint", "imperial_pint"),
    *("us_cup", "metric_cup", "imperial_cup", "us_tablespoon", "metric_tablespoon", "australian_tablespoon"),
    *("us_teaspoon", "metric_teaspoon", "us_fluid_ounce", "imperial_fluid_ounce", "board_foot"),
    *("mm", "cm", "m", "inch", "foot", "yard"),
    *("cm2", "dm2", "m2", "sq_inch", "sq_ft", "piece"),
)

# What stands beside many figures is written short, so that a row of a table fits a phone.
_SHORT = {
    "piece": "pc",
    "us_gallon": "US gal",
    "imperial_gallon": "imp gal",
    "us_fluid_ounce": "US fl oz",
    "imperial_fluid_ounce": "imp fl oz",
}

_FLUID_OUNCES = ("us_fluid_ounce", "imperial_fluid_ounce")

_CHOICES: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("gallon", "gallons", "gal"), ("us_gallon", "imperial_gallon")),
    **dict.fromkeys(("quart", "quarts", "qt"), ("us_quart", "imperial_quart")),
    **dict.fromkeys(("pint", "pints", "pt"), ("us_pint", "imperial_pint")),
    **dict.fromkeys(("cup", "cups"), ("us_cup", "metric_cup", "imperial_cup")),
    **dict.fromkeys(
        ("tablespoon", "tablespoons", "tbsp"), ("us_tablespoon", "metric_tablespoon", "australian_tablespoon")
    ),
    **dict.fromkeys(("teaspoon", "teaspoons", "tsp"), ("us_teaspoon", "metric_teaspoon")),
    **dict.fromkeys(("fluid_ounce", "fluid_ounces", "fl_oz", "floz"), _FLUID_OUNCES),
    **dict.fromkeys(("ounce", "ounces"), ("oz", *_FLUID_OUNCES)),
    **dict.fromkeys(("ton", "tons"), ("tonne", "short_ton", "long_ton")),
}


def canonical(unit: str) -> str:
    """The one name kept for a unit, however it is spelt; refused where it is none, or could be one of several.

    >>> canonical("Litres"), canonical("sq. ft"), canonical("US cups")
    ('L', 'sq_ft', 'us_cup')
    """
    return _named("_".join(re.split(r"[\s._]+", unicodedata.normalize("NFKC", unit).casefold().strip(" ._\t\r\n"))))


def label(unit: str) -> str:
    """A unit's name as people read it; `parse` reads it back.

    >>> label("us_cup"), label("dm2"), label("us_gallon"), label("piece")
    ('US cup', 'dm²', 'US gal', 'pc')
    """
    name = canonical(unit)
    if name in _SHORT:
        return _SHORT[name]
    return re.sub(r"2$", "²", name).replace("_", " ").replace("us ", "US ")


def base_of(unit: str) -> str:
    """The base unit of a unit's own system: what is kept by it is counted in thousandths of that.

    >>> base_of("kg"), base_of("lb"), base_of("US gallon"), base_of("pcs")
    ('g', 'oz', 'us_fluid_ounce', 'piece')
    """
    name = canonical(unit)
    named = f"{name.split('_')[0]}_fluid_ounce"
    return _COUNTED.get(name) or (named if named in _FLUID_OUNCES else _measured(name)[0])


def metric_of(unit: str) -> str:
    """The metric base unit of what a unit measures, the same in every system.

    >>> metric_of("kg"), metric_of("lb"), metric_of("US gallon")
    ('g', 'g', 'mL')
    """
    return _measured(canonical(unit))[0]


def factor(unit: str) -> Decimal:
    """How many of its metric base unit one `unit` is, exactly.

    >>> factor("kg"), factor("sq_ft"), factor("us_gallon")
    (Decimal('1000'), Decimal('929.0304'), Decimal('3785.411784'))
    """
    return _measured(canonical(unit))[1]


def trimmed(value: Decimal) -> Decimal:
    """`value` without trailing zeros or exponent, untouched by the caller's decimal context."""
    text = f"{value:f}"
    return Decimal(text.rstrip("0").rstrip(".") if "." in text else text)


@cache
def _named(word: str) -> str:
    said = word.replace("_", " ")
    if word in _CHOICES:
        raise Refused(f"“{said}” is not one size everywhere; say which: {', '.join(_CHOICES[word])}.", field="unit")
    spellings = _spellings()
    for spelling in (word, word.removesuffix("s")):
        if spelling in spellings:
            return spellings[spelling]
    hint = meant(_near(word), "use one of the units in the list, such as kg, L or piece.")
    raise Refused(f"“{said}” is not a unit known here; {hint}", field="unit")


def _near(word: str) -> tuple[str, ...]:
    """Names that a mistyped or incomplete word may have meant, an ambiguous one spread into its choices."""
    spellings = _spellings()
    close = difflib.get_close_matches(word, [*spellings, *_CHOICES], n=3, cutoff=0.75)
    last = word.rsplit("_", 1)[-1]
    names = (name for near in [*close, last] for name in _CHOICES.get(near, (spellings.get(near, ""),)))
    return tuple(dict.fromkeys(name for name in names if name))[:4]


@cache
def _registry() -> pint.UnitRegistry[Decimal]:
    import pint  # a quarter of a second to load and build: only when a unit is first asked for

    return pint.UnitRegistry(Path(__file__).with_name("units.txt"), non_int_type=Decimal, cache_folder=None)


@cache
def _spellings() -> dict[str, str]:
    registry = _registry()
    return {spelling.casefold(): registry.get_name(spelling) for spelling in registry}


@cache
def _measured(name: str) -> tuple[str, Decimal]:
    one = _registry().Quantity(Decimal(1), name)
    for base in METRIC:
        if one.is_compatible_with(base):
            return base, trimmed(one.to(base).magnitude)
    raise AssertionError(f"units.txt defines {name} outside the base units {METRIC}")
