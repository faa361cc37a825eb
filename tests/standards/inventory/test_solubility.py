"""What water holds, against tables other than those the figures come from.

The tables used: CRC Handbook of Chemistry and Physics, 98th ed. 2017 (soda, baking soda, salt, borax); Sigma-Aldrich,
Solubility Table of Compounds in Water at Temperature (potash alum, aluminium sulphate); Wikipedia, Solubility table
(ammonium alum). The controls below are others again, each named where it stands. Published figures for the alums differ
by up to a fifth, so that is the tolerance there; the sodas and salt agree to a few hundredths.
"""

from __future__ import annotations

from decimal import Decimal

import molmass
import pytest

from inventory.solubility import _TABLES, SCATTER, dry_per_100_water, held
from inventory.substances import SUBSTANCES


@pytest.mark.parametrize(
    ("slug", "dry_formula"),
    [
        ("potash_alum", "KAl(SO4)2"),
        ("ammonium_alum", "NH4Al(SO4)2"),
        ("aluminium_sulphate_14", "Al2(SO4)3"),
        ("aluminium_sulphate_18", "Al2(SO4)3"),
        ("washing_soda_crystals", "Na2CO3"),
        ("baking_soda", "NaHCO3"),
        ("salt", "NaCl"),
        ("borax", "Na2B4O7"),
    ],
)
def test_the_dry_salt_weighs_what_its_formula_does(slug: str, dry_formula: str) -> None:
    """`molmass`; 0.03 g/mol is the spread of published sulphur weights."""
    assert abs(_TABLES[slug].dry - Decimal(str(molmass.Formula(dry_formula).mass))) <= Decimal("0.03")
    assert _TABLES[slug].dry <= SUBSTANCES[slug].molar_mass


@pytest.mark.parametrize(
    ("slug", "celsius", "dry"),
    [
        # A Polish table of dry salt in 100 g of water (Rozpuszczalność stałych związków nieorganicznych w wodzie).
        ("salt", 0, "35.7"),
        ("salt", 20, "36.0"),
        ("salt", 40, "36.6"),
        ("washing_soda_crystals", 0, "7.0"),
        ("washing_soda_crystals", 20, "21.5"),
        ("baking_soda", 0, "6.9"),
        ("baking_soda", 20, "9.6"),
        ("baking_soda", 40, "12.7"),
    ],
)
def test_sodas_and_salt_agree_with_another_table(slug: str, celsius: int, dry: str) -> None:
    assert dry_per_100_water(slug, Decimal(celsius)) == pytest.approx(Decimal(dry), rel=Decimal("0.02"))


@pytest.mark.parametrize(
    ("slug", "celsius", "dry"),
    [
        # Perry's Chemical Engineers' Handbook, table of solubilities of inorganic compounds: grams of dry salt.
        ("ammonium_alum", 0, "2.1"),
        ("ammonium_alum", 10, "4.99"),
        ("ammonium_alum", 20, "7.74"),
        ("aluminium_sulphate_18", 0, "31.2"),
        ("aluminium_sulphate_18", 10, "33.5"),
        ("aluminium_sulphate_18", 20, "36.4"),
        # A food encyclopaedia (Chinese), entry on potash alum.
        ("potash_alum", 20, "5.90"),
    ],
)
def test_alums_agree_with_another_table_within_their_scatter(slug: str, celsius: int, dry: str) -> None:
    assert dry_per_100_water(slug, Decimal(celsius)) == pytest.approx(Decimal(dry), rel=Decimal(str(float(SCATTER))))


def test_a_litre_holds_about_as_many_crystals_of_potash_alum_as_handbooks_say() -> None:
    """The Merck Index: one gram of crystals dissolves in 7.2 mL of water. Wikipedia: 14.00 g in 100 mL at 20.5 °C."""
    for published in (1000 / 7.2, 140.0):
        assert float(held("potash_alum", Decimal(20))) == pytest.approx(published, rel=float(SCATTER))


def test_near_freezing_water_holds_under_half_the_alum_it_does_at_twenty() -> None:
    """Follows from the same table (2.96 and 6.01); a common warning for cold sheds."""
    assert held("potash_alum", Decimal(0)) < held("potash_alum", Decimal(20)) / 2
