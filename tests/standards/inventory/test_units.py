"""Factors of the units file against an independent registry and against the defining figures.

Sources: the default registry of `pint` (its own definitions file, which ours does not use); NIST Handbook 44,
appendix C, for the pound, the foot and the United States gallon, and the UK Weights and Measures Act 1985, schedule 1,
for the imperial gallon (both located, their digits read through `pint`).
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pint
import pytest
from hypothesis import given, strategies as st

from inventory import units
from inventory.errors import Refused

NAMES = {
    "g": "gram",
    "kg": "kilogram",
    "tonne": "metric_ton",
    "lb": "pound",
    "oz": "ounce",
    "short_ton": "short_ton",
    "long_ton": "long_ton",
    "mL": "milliliter",
    "cL": "centiliter",
    "dL": "deciliter",
    "L": "liter",
    "us_gallon": "gallon",
    "us_quart": "liquid_quart",
    "us_pint": "pint",
    "us_cup": "cup",
    "us_fluid_ounce": "fluid_ounce",
    "us_tablespoon": "tablespoon",
    "us_teaspoon": "teaspoon",
    "imperial_gallon": "imperial_gallon",
    "imperial_quart": "imperial_quart",
    "imperial_pint": "imperial_pint",
    "imperial_cup": "imperial_cup",
    "imperial_fluid_ounce": "imperial_fluid_ounce",
    "board_foot": "board_foot",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "inch": "inch",
    "foot": "foot",
    "yard": "yard",
    "cm2": "centimeter ** 2",
    "dm2": "decimeter ** 2",
    "m2": "meter ** 2",
    "sq_inch": "square_inch",
    "sq_ft": "square_foot",
    "sq_yard": "square_yard",
    "cubic_inch": "cubic_inch",
}

BASES = {"g": "gram", "mL": "milliliter", "mm": "millimeter", "cm2": "centimeter ** 2"}

# Kitchen measures of the metric countries, in no registry: common practice, no source.
METRIC_KITCHEN = {"metric_cup": "250", "metric_tablespoon": "15", "australian_tablespoon": "20", "metric_teaspoon": "5"}


@pytest.fixture(scope="module")
def registry() -> Any:
    return pint.UnitRegistry(non_int_type=Decimal, cache_folder=None)


@pytest.mark.parametrize("unit", NAMES)
def test_factors_agree_with_an_independent_registry(registry: Any, unit: str) -> None:
    theirs = registry.Quantity(Decimal(1), NAMES[unit]).to(BASES[units.metric_of(unit)]).magnitude
    # Their chain of divisions rounds at the 28th digit; ours is built from whole steps.
    assert abs(units.factor(unit) - theirs) <= theirs * Decimal("1e-24")


def test_every_offered_unit_is_checked_here() -> None:
    assert {*units.KNOWN, "tonne", "short_ton", "long_ton", "cL", "sq_yard", "cubic_inch"} == {
        *NAMES,
        *METRIC_KITCHEN,
        "piece",
    }


@pytest.mark.parametrize(
    ("unit", "exactly"),
    [
        ("lb", "453.59237"),
        ("oz", "28.349523125"),
        ("foot", "304.8"),
        ("sq_ft", "929.0304"),
        ("us_gallon", "3785.411784"),
        ("us_cup", "236.5882365"),
        ("us_fluid_ounce", "29.5735295625"),
        ("us_tablespoon", "14.78676478125"),
        ("us_teaspoon", "4.92892159375"),
        ("board_foot", "2359.737216"),
        ("imperial_gallon", "4546.09"),
        ("imperial_pint", "568.26125"),
        ("imperial_fluid_ounce", "28.4130625"),
    ],
)
def test_defined_factors_are_exact(unit: str, exactly: str) -> None:
    assert units.factor(unit) == Decimal(exactly)


# Base units of the systems that are not metric, and how many of the metric base unit each is. Read in the data of the Unicode
# Common Locale Data Repository, version 48 (units.json); the square inch is derived from its inch.
COUNTED = {
    "oz": Fraction(45359237, 1600000),
    "us_fluid_ounce": Fraction(473176473, 16000000),
    "imperial_fluid_ounce": Fraction(454609, 16000),
    "cubic_inch": Fraction(2048383, 125000),
    "inch": Fraction(127, 5),
    "sq_inch": Fraction(16129, 2500),
}
# How many of its base unit one is, a whole number or a plain part: 1 lb = 16 oz, 1 US gallon = 128 US fluid ounces.
WHOLE = {
    "lb": ("oz", 16),
    "short_ton": ("oz", 32_000),
    "long_ton": ("oz", 35_840),
    "us_gallon": ("us_fluid_ounce", 128),
    "us_quart": ("us_fluid_ounce", 32),
    "us_pint": ("us_fluid_ounce", 16),
    "us_cup": ("us_fluid_ounce", 8),
    "us_tablespoon": ("us_fluid_ounce", Fraction(1, 2)),
    "us_teaspoon": ("us_fluid_ounce", Fraction(1, 6)),
    "imperial_gallon": ("imperial_fluid_ounce", 160),
    "imperial_quart": ("imperial_fluid_ounce", 40),
    "imperial_pint": ("imperial_fluid_ounce", 20),
    "imperial_cup": ("imperial_fluid_ounce", 10),
    "board_foot": ("cubic_inch", 144),
    "foot": ("inch", 12),
    "yard": ("inch", 36),
    "sq_ft": ("sq_inch", 144),
    "sq_yard": ("sq_inch", 1296),
}


@pytest.mark.parametrize("base", units.BASES)
def test_every_base_unit_is_exact(base: str) -> None:
    assert Fraction(units.factor(base)) == COUNTED.get(base, 1)
    assert units.base_of(base) == base


@pytest.mark.parametrize("unit", WHOLE)
def test_a_unit_is_so_many_of_its_base_exactly(unit: str) -> None:
    base, number = WHOLE[unit]
    assert (units.base_of(unit), units.ratio(unit)) == (base, number)
    assert Fraction(units.to_base(Decimal(24), unit, base)) == 24 * number


def test_every_unit_is_counted_in_its_own_system() -> None:
    others = {*WHOLE, *COUNTED}
    assert all(units.base_of(unit) in units.METRIC for unit in {*NAMES, *METRIC_KITCHEN, "piece"} - others)


@pytest.mark.parametrize(("unit", "millilitres"), METRIC_KITCHEN.items())
def test_metric_kitchen_measures(unit: str, millilitres: str) -> None:
    """Common practice, no source."""
    assert units.factor(unit) == Decimal(millilitres)


def test_the_two_gallons_differ_by_a_fifth() -> None:
    """Ratio 1.20095 (derived from the two definitions)."""
    ratio = units.factor("imperial_gallon") / units.factor("us_gallon")
    assert round(ratio, 5) == Decimal("1.20095")


def test_bare_words_that_the_independent_registry_takes_as_american_are_refused_here(registry: Any) -> None:
    for word in ("gallon", "quart", "pint", "cup", "tablespoon", "teaspoon", "fluid_ounce", "ton"):
        assert word in registry
        with pytest.raises(Refused, match="is not one size everywhere"):
            units.factor(word)


SAME = [(unit, base) for unit in NAMES for base in units.BASES if units.metric_of(unit) == units.metric_of(base)]


@given(st.sampled_from(SAME), st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**12), max_value=10**12))
def test_a_conversion_is_the_exact_one_rounded_once(pair: tuple[str, str], amount: Decimal) -> None:
    """Against whole fractions of the factors, which are `pint`'s above: the short way and the long one are told alike."""
    unit, base = pair
    exact = Fraction(amount) * Fraction(units.factor(unit)) / Fraction(units.factor(base))
    found = units.to_base(amount, unit, base)
    assert found == units.half_up(exact, 3)
    assert (found.as_tuple().exponent, found.is_signed()) == (-3, found < 0)


@given(st.sampled_from(SAME), st.integers(-(10**12), 10**12))
def test_a_quantity_in_a_unit_is_the_shortest_that_leads_back(pair: tuple[str, str], thousandths: int) -> None:
    unit, base = pair
    amount = Decimal(thousandths) / 1000
    one = units.ratio(unit, base)
    wanted = [units.half_up(Fraction(amount) / one, places) for places in range(7)]
    shortest = next((each for each in wanted if units.half_up(Fraction(each) * one, 3) == amount), wanted[-1])
    found = units.from_base(amount, unit, base)
    assert found == shortest
    assert f"{found}" == f"{units.trimmed(shortest)}"
