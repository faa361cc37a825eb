"""Units: what an amount typed by hand is worth in the base unit its material is kept in.

Owns reading a measure, the exact factor of every unit, and the passage from volume to mass. The factors come from
`units.txt` beside this file, through one `pint` registry that is built on first use and asked once per unit; the rest
is plain exact arithmetic. It must not know materials or the database: a density is handed in, never kept here, because
the same cup of a coarse and of a fine powder weighs differently.

Bare words that mean different sizes (cup, gallon, ounce, ton ...) are refused with the choices named.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from inventory import formats
from inventory.errors import DensityNeeded, Refused, meant
from inventory.money import half_up

if TYPE_CHECKING:
    import pint


BASES = ("g", "mL", "mm", "cm2", "piece")
MINUTES_PER_HOUR = 60
HELD_PLACES = 3  # places at which a quantity is kept
MOST_PLACES = 9  # of a figure that leads back to what is kept
TYPED_PLACES = 6  # places at which an amount in another unit is given back
_KINDS = {"g": "mass", "mL": "volume", "mm": "length", "cm2": "area", "piece": "number of pieces"}

# Canonical names of the units offered in forms.
KNOWN = (
    *("g", "kg", "oz", "lb"),
    *("mL", "dL", "L", "us_gallon", "imperial_gallon", "us_quart", "imperial_quart", "us_pint", "imperial_pint"),
    *("us_cup", "metric_cup", "imperial_cup", "us_tablespoon", "metric_tablespoon", "australian_tablespoon"),
    *("us_teaspoon", "metric_teaspoon", "us_fluid_ounce", "imperial_fluid_ounce", "board_foot"),
    *("mm", "cm", "m", "inch", "foot", "yard"),
    *("cm2", "dm2", "m2", "sq_ft", "piece"),
)

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

# A whole number and a fraction, a fraction, or a number with one decimal mark; then the unit.
_MEASURE = re.compile(
    r"(?P<sign>[-+]?)\s*"
    r"(?:(?:(?P<whole>\d{1,12})\s+)?(?P<over>\d{1,12})/(?P<under>\d{1,12})"
    r"|(?P<number>\d[\d.,' ]{0,24}?|[.,]\d{1,12}))"
    r"\s*(?P<unit>[^\W\d].*)",
    re.ASCII,
)


def canonical(unit: str) -> str:
    """The one name kept for a unit, however it is spelt; refused where it is none, or could be one of several.

    >>> canonical("Litres"), canonical("sq. ft"), canonical("US cups")
    ('L', 'sq_ft', 'us_cup')
    """
    return _named("_".join(re.split(r"[\s._]+", unicodedata.normalize("NFKC", unit).casefold().strip(" ._\t\r\n"))))


def label(unit: str) -> str:
    """A unit's name as people read it; `parse` reads it back.

    >>> label("us_cup"), label("dm2"), label("sq_ft"), label("piece")
    ('US cup', 'dm²', 'sq ft', 'pc')
    """
    name = canonical(unit)
    if name == "piece":
        return "pc"
    return re.sub(r"2$", "²", name).replace("_", " ").replace("us ", "US ")


def base_of(unit: str) -> str:
    """The base unit of a unit's dimension.

    >>> base_of("kg"), base_of("sq ft"), base_of("pcs")
    ('g', 'cm2', 'piece')
    """
    return _measured(canonical(unit))[0]


def factor(unit: str) -> Decimal:
    """How many base units one `unit` is, exactly.

    >>> factor("kg"), factor("sq_ft"), factor("us_gallon")
    (Decimal('1000'), Decimal('929.0304'), Decimal('3785.411784'))
    """
    return _measured(canonical(unit))[1]


def to_base(
    amount: Decimal, unit: str, base: str, *, density_g_per_ml: Decimal | None = None, name: str = ""
) -> Decimal:
    """`amount` of `unit` in the base unit `base`, half up to three places.

    amount × factor, and between volume and mass × density (g/mL) or ÷ density. The density is the material's own,
    weighed by its owner; `name` is what a refusal calls the material.
    `DensityNeeded`; refused where no density could join the two, or as `canonical`; `ValueError` for a base that is none or
    a density that is not above zero.

    >>> to_base(Decimal("0.72"), "kg", "g")
    Decimal('720.000')
    >>> to_base(Decimal(1), "us_cup", "g", density_g_per_ml=Decimal("1.234"))
    Decimal('291.950')
    """
    if base not in BASES:
        raise ValueError(f"{base} is not a base unit; the base units are {', '.join(BASES)}")
    own = base_of(unit)
    measured = Fraction(amount) * Fraction(factor(unit))
    if own != base:
        if {own, base} != {"g", "mL"}:
            kind = _KINDS[base]
            raise Refused(
                f"{label(unit)} measures {_KINDS[own]}, but {name or 'this'} is kept by {kind} ({label(base)}); give the amount "
                f"as {kind}.",
                field="unit",
            )
        if density_g_per_ml is None:
            raise DensityNeeded(label(unit), base, name)
        if density_g_per_ml <= 0:
            raise ValueError(f"a density must be above zero, got {density_g_per_ml} g/mL")
        density = Fraction(density_g_per_ml)
        measured = measured * density if base == "g" else measured / density
    return half_up(measured, HELD_PLACES)


def from_base(amount: Decimal, unit: str) -> Decimal:
    """`amount` base units in `unit`, without trailing zeros: the shortest figure of at most six places that leads back to it, so
    that 20 lb stay 20; else half up to six places.

    >>> from_base(Decimal("560.000"), "kg"), from_base(Decimal("3000.000"), "g"), from_base(Decimal("9071.847"), "lb")
    (Decimal('0.56'), Decimal('3000'), Decimal('20'))
    """
    one = Fraction(factor(unit))
    exact = Fraction(amount) / one
    for places in range(TYPED_PLACES):
        short = half_up(exact, places)
        if half_up(Fraction(short) * one, HELD_PLACES) == amount:
            return _trimmed(short)
    return _trimmed(half_up(exact, TYPED_PLACES))


def least(amount: Decimal, unit: str) -> Decimal:
    """A quantity kept in the base unit of `unit`, with the fewest decimals that lead back to it.

    >>> least(Decimal("18927.059"), "us_gallon"), least(Decimal("18000.000"), "us_gallon")
    (Decimal('5'), Decimal('4.755097'))
    """
    base = base_of(unit)
    return fewest(Fraction(amount) / Fraction(factor(unit)), lambda short: to_base(short, unit, base) == amount)


def fewest(exact: Fraction, leads_back: Callable[[Decimal], bool]) -> Decimal:
    """A figure with the fewest decimals, rounded half up, that still `leads_back` to what is kept; ValueError if none does."""
    for decimals in range(MOST_PLACES + 1):
        short = half_up(exact, decimals)
        if leads_back(short):
            return short
    raise ValueError(f"{exact} cannot be written with {MOST_PLACES} decimals")


def number(amount_base: Decimal, unit: str) -> str:
    """The canonical plain text of a quantity in `unit`: no exponent, no trailing zeros.

    >>> number(Decimal("560.000"), "kg")
    '0.56'
    """
    return f"{from_base(amount_base, unit):f}"


def figure(amount_base: Decimal, unit: str) -> str:
    """As `number`, for people: as the style that holds here writes figures."""
    return formats.current().number(number(amount_base, unit))


def show(amount_base: Decimal, unit: str) -> str:
    """A quantity for people.

    >>> show(Decimal("560.000"), "kg")
    '0.56 kg'
    """
    return f"{figure(amount_base, unit)} {label(unit)}"


def kept(amount_base: Decimal, unit: str) -> str:
    """A quantity in words that are kept, whatever the style: `parse` has it back.

    >>> kept(Decimal("1560.000"), "kg")
    '1.56 kg'
    """
    return f"{number(amount_base, unit)} {label(unit)}"


def told(amount: Decimal, unit: str) -> str:
    """An amount that is in a unit already, as people read it.

    >>> told(Decimal("1.440"), "kg")
    '1.44 kg'
    """
    return f"{formats.current().number(f'{amount.normalize():f}')} {label(unit)}"


def said(typed: str) -> str:
    """A measure as it is kept, for people; what is no plain figure stays as it was typed.

    >>> said("2.5 us_cup"), said("2 1/2 us_cup")
    ('2.5 US cup', '2 1/2 US cup')
    """
    amount, _, unit = typed.rpartition(" ")
    if unit not in KNOWN:
        return typed.replace("_", " ")
    plain = re.fullmatch(r"\d{1,12}(?:\.\d{1,12})?", amount, re.ASCII)
    return f"{formats.figure(amount) if plain else amount} {label(unit)}"


def parse(text: str, style: formats.Style | None = None) -> tuple[Decimal, str]:
    """A measure as typed: the amount (fractions to six places) and the canonical unit.

    The figure is read as the `style` writes them, that which holds here unless one is given (`formats.PLAIN` for words that are
    kept); fractions as 1/2, 2 1/2 or 2½. The sign passes: what may be negative is the caller's rule. Refused where it cannot be
    read, or as `canonical`.

    >>> parse("0.72 kg"), parse("2 1/2 us_cup"), parse("1,5kg")
    ((Decimal('0.72'), 'kg'), (Decimal('2.5'), 'us_cup'), (Decimal('1.5'), 'kg'))
    """
    found = _MEASURE.fullmatch(_plain(text))
    if found is None or (found["under"] and int(found["under"]) == 0):
        raise Refused(
            f"“{text}” cannot be read as an amount and a unit; write it like 0.72 kg, 1,5 L or 2 1/2 us_cup.",
            field="amount",
        )
    if found["number"]:
        amount = (style or formats.current()).read(found["number"], field="amount")
    else:
        exact = int(found["whole"] or 0) + Fraction(int(found["over"]), int(found["under"]))
        amount = _trimmed(half_up(exact, TYPED_PLACES))
    return (-amount if found["sign"] == "-" else amount), canonical(found["unit"])


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


def _plain(text: str) -> str:
    """Typed text with ½ as 1/2 (2½ as 2 1/2), a true minus as a hyphen, and full forms for compatibility characters."""
    spread = "".join(f" {char}" if unicodedata.decomposition(char).startswith("<fraction>") else char for char in text)
    return unicodedata.normalize("NFKC", spread).replace("\u2044", "/").replace("\u2212", "-").strip()


def _trimmed(value: Decimal) -> Decimal:
    """`value` without trailing zeros or exponent, untouched by the caller's decimal context."""
    text = f"{value:f}"
    return Decimal(text.rstrip("0").rstrip(".") if "." in text else text)


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
    for base in BASES:
        if one.is_compatible_with(base):
            return base, _trimmed(one.to(base).magnitude)
    raise AssertionError(f"units.txt defines {name} outside the base units {BASES}")
