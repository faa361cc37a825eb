"""Units: what an amount typed by hand is worth in the base unit its material is kept in.

Owns reading a measure, and the passage from volume to mass and between systems. Each
system counts in a base of its own (pounds in ounces), so that what is typed in it is kept exactly; only what passes from
one to another is rounded, once. The units and their factors are in `factors`. It must not know materials or the database: a
density is handed in, never kept here, because the same cup of a coarse and of a fine powder weighs differently.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from inventory import formats
from inventory.errors import DensityNeeded, Refused
from inventory.factors import (
    BASES as BASES,
    KNOWN as KNOWN,
    METRIC as METRIC,
    base_of as base_of,
    canonical as canonical,
    factor as factor,
    label as label,
    metric_of as metric_of,
    trimmed,
)
from inventory.money import half_up, times

MINUTES_PER_HOUR = 60
HELD_PLACES = 3  # places at which a quantity is kept
MOST_PLACES = 9  # of a figure that leads back to what is kept
TYPED_PLACES = 6  # places at which an amount in another unit is given back
EXACT_PLACES = 12  # at which any thousandth of an ounce is a plain part of a pound or a gallon
TOLD_PLACES = 3  # of what people read, and figures of what is less than a tenth
_KINDS = dict(zip(METRIC, ("mass", "volume", "length", "area", "number of pieces"), strict=True))

# A whole number and a fraction, a fraction, or a number with one decimal mark; then the unit.
_MEASURE = re.compile(
    r"(?P<sign>[-+]?)\s*"
    r"(?:(?:(?P<whole>\d{1,12})\s+)?(?P<over>\d{1,12})/(?P<under>\d{1,12})"
    r"|(?P<number>\d[\d.,' ]{0,24}?|[.,]\d{1,12}))"
    r"\s*(?P<unit>[^\W\d].*)",
    re.ASCII,
)


@lru_cache(maxsize=512)  # asked for every figure of a page, of a handful of units
def ratio(unit: str, base: str = "") -> Fraction:
    """How many of `base`, else of its own base, one `unit` is, exactly. Both measure the same.

    >>> ratio("lb"), ratio("us_gallon"), ratio("inch", "mm")
    (Fraction(16, 1), Fraction(128, 1), Fraction(127, 5))
    """
    return Fraction(factor(unit)) / Fraction(factor(base or base_of(unit)))


def to_base(
    amount: Decimal, unit: str, base: str, *, density_g_per_ml: Decimal | None = None, name: str = ""
) -> Decimal:
    """`amount` of `unit` in the base unit `base`, of whichever system, half up to three places.

    amount × factor, and between volume and mass × density (g/mL) or ÷ density. The density is the material's own,
    weighed by its owner; `name` is what a refusal calls the material.
    `DensityNeeded`; refused where no density could join the two, or as `canonical`; `ValueError` for a base that is none or
    a density that is not above zero.

    >>> to_base(Decimal("0.72"), "kg", "g"), to_base(Decimal("2.5"), "lb", "oz"), to_base(Decimal(1), "kg", "oz")
    (Decimal('720.000'), Decimal('40.000'), Decimal('35.274'))
    >>> to_base(Decimal(1), "us_cup", "g", density_g_per_ml=Decimal("1.234"))
    Decimal('291.950')
    """
    converted = _converting(unit, base, density_g_per_ml)
    if converted is None:
        raise _no_way(unit, base, density_g_per_ml, name)
    return converted(amount)


@lru_cache(maxsize=512)
def _converting(unit: str, base: str, density_g_per_ml: Decimal | None) -> Callable[[Decimal], Decimal] | None:
    """What brings an amount of `unit` to `base`, prepared once for each pair and density; None where nothing does."""
    if base not in BASES:
        return None
    one, own, kept = ratio(unit, base), metric_of(unit), metric_of(base)
    if own == kept:
        return times(one, HELD_PLACES)
    if {own, kept} != {"g", "mL"} or density_g_per_ml is None or density_g_per_ml <= 0:
        return None
    density = Fraction(density_g_per_ml)
    return times(one * density if kept == "g" else one / density, HELD_PLACES)


def _no_way(unit: str, base: str, density_g_per_ml: Decimal | None, name: str) -> Exception:
    """Why an amount of one cannot be brought to the other."""
    if base not in BASES:
        return ValueError(f"{base} is not a base unit; the base units are {', '.join(BASES)}")
    own, kept = metric_of(unit), metric_of(base)
    if {own, kept} != {"g", "mL"}:
        kind = _KINDS[kept]
        return Refused(
            f"{label(unit)} measures {_KINDS[own]}, but {name or 'this'} is kept by {kind} ({label(base)}); give the amount "
            f"as {kind}.",
            field="unit",
        )
    if density_g_per_ml is None:
        return DensityNeeded(label(unit), label(base), name)
    return ValueError(f"a density must be above zero, got {density_g_per_ml} g/mL")


@lru_cache(maxsize=512)
def _both_ways(unit: str, base: str) -> tuple[Callable[[Decimal], Decimal], tuple[Callable[[Decimal], Decimal], ...]]:
    """What brings an amount of `unit` to `base`, and what brings it back at each number of places."""
    one = ratio(unit, base)
    return times(one, HELD_PLACES), tuple(times(1 / one, places) for places in range(TYPED_PLACES + 1))


def from_base(amount: Decimal, unit: str, base: str = "") -> Decimal:
    """`amount` of `base`, else of the unit's own base, in `unit`, without trailing zeros: the shortest figure of at most six
    places that leads back to it, so that 20 lb stay 20; else half up to six places.

    >>> from_base(Decimal("560.000"), "kg"), from_base(Decimal("320.000"), "lb"), from_base(Decimal("9071.847"), "lb", "g")
    (Decimal('0.56'), Decimal('20'), Decimal('20'))
    """
    there, back = _both_ways(unit, base)
    for shortened in back[:-1]:
        short = shortened(amount)
        if there(short) == amount:
            return trimmed(short)
    return trimmed(back[-1](amount))


def least(amount: Decimal, unit: str, base: str = "") -> Decimal:
    """A quantity of `base`, else of the unit's own base, with the fewest decimals that lead back to it.

    >>> least(Decimal("640.000"), "us_gallon"), least(Decimal("18000.000"), "us_gallon", "mL")
    (Decimal('5'), Decimal('4.755097'))
    """
    one = ratio(unit, base)
    return fewest(Fraction(amount) / one, lambda short: half_up(Fraction(short) * one, HELD_PLACES) == amount)


def fewest(exact: Fraction, leads_back: Callable[[Decimal], bool]) -> Decimal:
    """A figure with the fewest decimals, rounded half up, that still `leads_back` to what is kept; ValueError if none does."""
    for decimals in range(MOST_PLACES + 1):
        short = half_up(exact, decimals)
        if leads_back(short):
            return short
    raise ValueError(f"{exact} cannot be written with {MOST_PLACES} decimals")


def number(amount_base: Decimal, unit: str, base: str = "") -> str:
    """The plain text of a quantity for programs, exact wherever decimals can say it: no exponent, no trailing zeros.

    >>> number(Decimal("560.000"), "kg"), number(Decimal("5.333"), "lb")
    ('0.56', '0.3333125')
    """
    short, exact = from_base(amount_base, unit, base), Fraction(amount_base) / ratio(unit, base)
    long = half_up(exact, EXACT_PLACES)
    return f"{short if short == half_up(short, TOLD_PLACES) or Fraction(long) != exact else trimmed(long):f}"


def figure(amount_base: Decimal, unit: str, base: str = "") -> str:
    """As `read`, as the style that holds here writes figures."""
    return formats.current().number(read(amount_base, unit, base))


def read(amount_base: Decimal, unit: str, base: str = "") -> Decimal:
    """A quantity in `unit` as people read it: as typed, else to three decimals, or three figures of what is less than a tenth.

    >>> read(Decimal("320.000"), "lb"), read(Decimal("4082.331"), "kg"), read(Decimal("0.033"), "kg")
    (Decimal('20'), Decimal('4.082'), Decimal('0.000033'))
    """
    found = from_base(amount_base, unit, base)
    places = TOLD_PLACES if abs(found) * 10 >= 1 else TOLD_PLACES - 1 - found.adjusted()
    return trimmed(half_up(found, places))


def decimals(value: Decimal) -> int:
    """How many decimals a figure has.

    >>> decimals(Decimal("7.333")), decimals(Decimal("1E+2"))
    (3, 0)
    """
    return max(0, -int(value.as_tuple().exponent))


def show(amount_base: Decimal, unit: str, base: str = "") -> str:
    """A quantity for people; see `read`.

    >>> show(Decimal("560.000"), "kg"), show(Decimal("5.333"), "lb")
    ('0.56 kg', '0.333 lb')
    """
    return told(read(amount_base, unit, base), unit)


def kept(amount_base: Decimal, unit: str, base: str = "") -> str:
    """A quantity in words that are kept, whatever the style: `parse` has it back.

    >>> kept(Decimal("1560.000"), "kg")
    '1.56 kg'
    """
    return f"{number(amount_base, unit, base)} {label(unit)}"


def told(amount: Decimal, unit: str) -> str:
    """An amount that is in a unit already, as people read it.

    >>> told(Decimal("1.440"), "kg")
    '1.44 kg'
    """
    return f"{formats.current().number(f'{amount.normalize():f}')} {label(unit)}"


def parse(text: str, style: formats.Style | None = None) -> tuple[Decimal, str]:
    """A measure as typed: the amount (fractions to six places) and the canonical unit.

    The figure is read by the `style` that holds here unless one is given (`formats.PLAIN` for words that are kept); fractions as
    1/2, 2 1/2 or 2½. A sign passes: it is the caller's rule. Refused where it cannot be read, or as `canonical`.

    >>> parse("0.72 kg"), parse("2 1/2 us_cup"), parse("1,5kg")
    ((Decimal('0.72'), 'kg'), (Decimal('2.5'), 'us_cup'), (Decimal('1.5'), 'kg'))
    """
    found = _MEASURE.fullmatch(_plain(text))
    if found is None or (found["under"] and int(found["under"]) == 0):
        raise Refused(
            f"“{text}” cannot be read as an amount and a unit; write it like 0.72 kg or 2 1/2 us_cup.", field="amount"
        )
    if found["number"]:
        amount = (style or formats.current()).read(found["number"], field="amount")
    else:
        exact = int(found["whole"] or 0) + Fraction(int(found["over"]), int(found["under"]))
        amount = trimmed(half_up(exact, TYPED_PLACES))
    return (-amount if found["sign"] == "-" else amount), canonical(found["unit"])


def _plain(text: str) -> str:
    """Typed text with ½ as 1/2 (2½ as 2 1/2), a true minus as a hyphen, and full forms for compatibility characters."""
    spread = "".join(f" {char}" if unicodedata.decomposition(char).startswith("<fraction>") else char for char in text)
    return unicodedata.normalize("NFKC", spread).replace("\u2044", "/").replace("\u2212", "-").strip()
