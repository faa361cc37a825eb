"""What water holds: the reckoning from dry salt to crystals, between the table's points and beyond them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from inventory import solubility
from inventory.errors import OutsideTable, Refused
from inventory.money import half_up
from inventory.solubility import _dry, held, known, source
from inventory.substances import SUBSTANCES

TABLED = [slug for slug in SUBSTANCES if known(slug)]


def dry_per_100_water(slug: str, celsius: Decimal) -> Decimal:
    """Grams of dry salt that 100 g of water hold, half up to a hundredth."""
    return half_up(_dry(slug, celsius), 2)


@pytest.mark.parametrize("slug", TABLED)
def test_warmer_water_holds_more(slug: str) -> None:
    values = [held(slug, Decimal(celsius)) for celsius in range(0, 31)]
    assert values == sorted(values)
    assert values[0] > 0


@pytest.mark.parametrize("slug", TABLED)
def test_the_crystals_dissolved_bring_exactly_the_dry_salt_that_saturates_all_the_water(slug: str) -> None:
    """Dry salt and water of crystallisation taken apart again: grams of each in a litre of poured water."""
    crystals, row = held(slug, Decimal(20)), SUBSTANCES[slug]
    dry_part = solubility._of(slug).dry / row.molar_mass
    dry, water = crystals * dry_part, 1000 + crystals * (1 - dry_part)
    assert abs(100 * dry / water - dry_per_100_water(slug, Decimal(20))) < Decimal("0.06")


def test_between_two_points_the_value_lies_below_the_straight_line() -> None:
    straight = (Decimal("2.96") + Decimal("6.01")) / 2
    assert Decimal("2.96") < dry_per_100_water("potash_alum", Decimal(10)) < straight


@pytest.mark.parametrize(("celsius", "dry"), [("0", "2.96"), ("20", "6.01"), ("40", "13.60")])
def test_the_points_of_the_table_are_met(celsius: str, dry: str) -> None:
    assert dry_per_100_water("potash_alum", Decimal(celsius)) == Decimal(dry)


def test_mass_percent_is_turned_into_grams_to_the_water() -> None:
    assert dry_per_100_water("salt", Decimal(20)) == Decimal("35.89")


def test_a_heavier_crystal_of_one_salt_dissolves_in_more_grams() -> None:
    ash, mono, crystals = (
        held(slug, Decimal(20)) for slug in ("soda_ash", "soda_monohydrate", "washing_soda_crystals")
    )
    assert ash < mono < crystals


@pytest.mark.parametrize(("slug", "celsius"), [("potash_alum", "-1"), ("potash_alum", "40.1"), ("soda_ash", "31")])
def test_nothing_is_guessed_outside_the_table(slug: str, celsius: str) -> None:
    with pytest.raises(OutsideTable, match=f"not at {celsius} °C; give a temperature between"):
        held(slug, Decimal(celsius))


def test_a_substance_without_a_table_is_refused_not_guessed() -> None:
    assert not known("citric_acid")
    with pytest.raises(Refused, match="How much Citric acid, anhydrous water holds is not known here"):
        held("citric_acid", Decimal(20))
    with pytest.raises(Refused, match="is not a substance known here"):
        known("unobtainium")


@pytest.mark.parametrize("slug", TABLED)
def test_every_table_names_its_source(slug: str) -> None:
    assert any(name in source(slug) for name in ("CRC Handbook", "Sigma-Aldrich", "Wikipedia"))
