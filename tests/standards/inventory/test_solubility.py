"""What water holds, against tables other than those the figures come from.

The tables used: CRC Handbook of Chemistry and Physics, 98th ed. 2017 (soda, baking soda, salt, borax); Sigma-Aldrich,
Solubility Table of Compounds in Water at Temperature (potash alum, aluminium sulphate); Wikipedia, Solubility table
(ammonium alum). The controls below are others again, each named where it stands. Published figures for the alums differ
by up to a fifth, so that is the tolerance there; the sodas and salt agree to a few hundredths.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise

import molmass
import pytest

from inventory.errors import OutsideTable
from inventory.money import half_up
from inventory.solubility import _TABLES, SCATTER, _dry, held, known, source
from inventory.substances import SUBSTANCES


def dry_per_100_water(slug: str, celsius: Decimal) -> Decimal:
    """Grams of dry salt that 100 g of water hold, half up to a hundredth."""
    return half_up(_dry(slug, celsius), 2)


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


# The figures of the sources themselves, written out a second time: grams of dry salt in 100 g of the solution (CRC
# Handbook) or to 100 g of water (Sigma-Aldrich, Wikipedia), by °C.
IN_SOLUTION, TO_WATER = "CRC Handbook", "g per 100 g of water"
ALUMINIUM = (TO_WATER, {0: "31.2", 20: "36.44", 40: "45.6"})
CARBONATE = (IN_SOLUTION, {0: "6.44", 10: "10.8", 20: "17.9", 25: "23.5", 30: "28.7"})
PUBLISHED = {
    "potash_alum": (TO_WATER, {0: "2.96", 20: "6.01", 40: "13.6"}),
    "ammonium_alum": (TO_WATER, {0: "2.4", 10: "5.0", 20: "7.4", 30: "10.5", 40: "14.6"}),
    "aluminium_sulphate_14": ALUMINIUM,
    "aluminium_sulphate_16": ALUMINIUM,
    "aluminium_sulphate_18": ALUMINIUM,
    "soda_ash": CARBONATE,
    "soda_monohydrate": CARBONATE,
    "washing_soda_crystals": CARBONATE,
    "baking_soda": (IN_SOLUTION, {0: "6.48", 10: "7.59", 20: "8.73", 25: "9.32", 30: "9.91", 40: "11.13"}),
    "salt": (IN_SOLUTION, {0: "26.28", 10: "26.32", 20: "26.41", 25: "26.45", 30: "26.52", 40: "26.67"}),
    "borax": (IN_SOLUTION, {0: "1.23", 10: "1.71", 20: "2.50", 25: "3.07", 30: "3.82", 40: "6.02"}),
}


def to_water(slug: str) -> dict[int, Decimal]:
    """What the source says, as grams to 100 g of water."""
    by, points = PUBLISHED[slug]
    grams = {celsius: Decimal(text) for celsius, text in points.items()}
    return grams if by == TO_WATER else {celsius: 100 * each / (100 - each) for celsius, each in grams.items()}


def test_these_substances_have_a_table_and_no_others() -> None:
    assert {slug for slug in SUBSTANCES if known(slug)} == set(PUBLISHED)


@pytest.mark.parametrize("slug", PUBLISHED)
def test_every_figure_of_a_table_is_that_of_its_source(slug: str) -> None:
    points = to_water(slug)
    found = {celsius: dry_per_100_water(slug, Decimal(celsius)) for celsius in points}
    assert found == {celsius: grams.quantize(Decimal("0.01"), ROUND_HALF_UP) for celsius, grams in points.items()}
    assert PUBLISHED[slug][0] in source(slug)


@pytest.mark.parametrize("slug", PUBLISHED)
def test_a_table_ends_where_its_source_is_read_and_between_two_figures_runs_their_geometric_mean(slug: str) -> None:
    points = to_water(slug)
    for beyond in (Decimal("-0.1"), max(points) + Decimal("0.1")):
        with pytest.raises(OutsideTable):
            dry_per_100_water(slug, beyond)
    for (low, less), (high, more) in pairwise(points.items()):
        middle = dry_per_100_water(slug, Decimal(low + high) / 2)
        assert middle == pytest.approx((less * more).sqrt(), abs=Decimal("0.0051"))


@pytest.mark.parametrize(
    ("slug", "water"),
    [
        ("potash_alum", 12),
        ("ammonium_alum", 12),
        ("aluminium_sulphate_14", 14),
        ("aluminium_sulphate_16", 16),
        ("aluminium_sulphate_18", 18),
        ("soda_ash", 0),
        ("soda_monohydrate", 1),
        ("washing_soda_crystals", 10),
        ("baking_soda", 0),
        ("salt", 0),
        ("borax", 10),
    ],
)
def test_a_dry_salt_is_its_crystal_less_the_water_in_it_to_the_last_digit(slug: str, water: int) -> None:
    """Both by the same weights of IUPAC: water is 18.015 g/mol."""
    assert _TABLES[slug].dry == SUBSTANCES[slug].molar_mass - water * Decimal("18.015")


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
