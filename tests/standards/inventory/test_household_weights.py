"""Cups and spoons of real powders, and why a density belongs to one material and one measure.

Source: USDA FoodData Central, SR Legacy portions: table salt (FDC 173468, NDB 02047) cup 292 g, tablespoon 18 g,
teaspoon 6.0 g; baking soda (FDC 175040, NDB 18372) teaspoon 4.6 g. Figures are in the public domain.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from inventory import units
from inventory.errors import DensityNeeded
from inventory.money import half_up

SALT = {"us_cup": Decimal(292), "us_tablespoon": Decimal(18), "us_teaspoon": Decimal("6.0")}
BAKING_SODA_TEASPOON = Decimal("4.6")


def density(grams: Decimal, measure: str, places: int) -> Decimal:
    """g/mL of a level measure, as the maker finds it on the scale."""
    return half_up(Fraction(grams) / Fraction(units.factor(measure)), places)


@pytest.mark.parametrize("measure", SALT)
def test_a_weighed_measure_gives_itself_back(measure: str) -> None:
    found = density(SALT[measure], measure, 9)
    assert units.to_base(Decimal(1), measure, "g", density_g_per_ml=found) == SALT[measure]


def test_densities_of_the_table() -> None:
    """1.2342 g/mL by the cup, 1.2173 by the tablespoon, baking soda 0.9333 (derived from the table)."""
    assert density(SALT["us_cup"], "us_cup", 4) == Decimal("1.2342")
    assert density(SALT["us_tablespoon"], "us_tablespoon", 4) == Decimal("1.2173")
    assert density(BAKING_SODA_TEASPOON, "us_teaspoon", 4) == Decimal("0.9333")


def test_a_density_kept_to_three_places_is_good_to_a_tenth_of_a_gram_a_cup() -> None:
    kept = density(SALT["us_cup"], "us_cup", 3)
    assert abs(units.to_base(Decimal(1), "us_cup", "g", density_g_per_ml=kept) - 292) < Decimal("0.1")


def test_sixteen_weighed_spoons_are_not_the_weighed_cup() -> None:
    """16 × 18 g = 288 g, but the cup holds 292 g: by volume the two are equal, so one measure must be kept."""
    assert 16 * units.factor("us_tablespoon") == units.factor("us_cup")
    by_spoon = density(SALT["us_tablespoon"], "us_tablespoon", 9)
    by_cup = density(SALT["us_cup"], "us_cup", 9)
    assert units.to_base(Decimal(1), "us_cup", "g", density_g_per_ml=by_spoon) == 288
    assert units.to_base(Decimal(16), "us_tablespoon", "g", density_g_per_ml=by_cup) == 292


def test_the_same_word_cup_differs_by_seventeen_grams_of_salt() -> None:
    found = density(SALT["us_cup"], "us_cup", 9)
    metric = units.to_base(Decimal(1), "metric_cup", "g", density_g_per_ml=found)
    assert metric - 292 == Decimal("16.553")


def test_no_density_is_built_in() -> None:
    """Published figures for one powder run from 689 to 933 kg/m³, so a volume alone is refused."""
    with pytest.raises(DensityNeeded):
        units.to_base(Decimal(1), "us_teaspoon", "g", name="Baking soda")
