"""The substance table against an independent computation of molar masses, and published recipe chemistry.

Sources: `molmass` (mean isotopic masses; the tolerance of 0.03 g/mol is the spread of published sulphur weights);
New Mexico State University, Guide L-103: alum 1 lb, washing soda crystals 4 oz, salt 8 oz (16 : 4 : 8 by weight), from
which the basicities are derived; Schorlemmer's definition as in the scope of ASTM D3897 (chrome), for aluminium by
analogy; ideal gas with the CODATA gas constant.
"""

from __future__ import annotations

from decimal import Decimal

import molmass
import pytest

from costing.make.baths.chemistry.bath import Line, facts
from inventory import units
from inventory.substances import SUBSTANCES, alkali_equal, aluminium_equal, co2_litres

TOLERANCE = Decimal("0.03")


def independent(slug: str) -> molmass.Formula:
    return molmass.Formula(SUBSTANCES[slug].formula.replace("·", "."))


@pytest.mark.parametrize("slug", SUBSTANCES)
def test_molar_masses_agree(slug: str) -> None:
    assert abs(SUBSTANCES[slug].molar_mass - Decimal(str(independent(slug).mass))) <= TOLERANCE


@pytest.mark.parametrize("slug", SUBSTANCES)
def test_aluminium_is_counted_as_the_formula_has_it(slug: str) -> None:
    composition = independent(slug).composition()
    assert SUBSTANCES[slug].aluminium_per_mol == (composition["Al"].count if "Al" in composition else 0)


@pytest.mark.parametrize("slug", [slug for slug, row in SUBSTANCES.items() if row.co2_per_mol])
def test_carbonates_give_off_all_their_carbon(slug: str) -> None:
    assert SUBSTANCES[slug].co2_per_mol == independent(slug).composition()["C"].count


@pytest.mark.parametrize(
    ("slug", "percent"),
    [
        ("aluminium_sulphate_anhydrous", "15.773"),
        ("aluminium_sulphate_14", "9.079"),
        ("aluminium_sulphate_16", "8.561"),
        ("aluminium_sulphate_18", "8.098"),
        ("potash_alum", "5.688"),
        ("ammonium_alum", "5.952"),
    ],
)
def test_aluminium_content(slug: str, percent: str) -> None:
    """Percent Al by weight, computed from IUPAC weights (Al 26.98154 g/mol)."""
    row = SUBSTANCES[slug]
    assert round(100 * row.aluminium_per_mol * Decimal("26.98154") / row.molar_mass, 3) == Decimal(percent)


@pytest.mark.parametrize(
    ("slug", "grams"),
    [
        ("aluminium_sulphate_anhydrous", "360.6"),
        ("aluminium_sulphate_14", "626.5"),
        ("aluminium_sulphate_16", "664.4"),
        ("aluminium_sulphate_18", "702.4"),
        ("potash_alum", "1000.0"),
        ("ammonium_alum", "955.6"),
    ],
)
def test_grams_equal_in_aluminium_to_a_kilogram_of_potash_alum(slug: str, grams: str) -> None:
    assert round(aluminium_equal(Decimal(1000), "potash_alum", slug), 1) == Decimal(grams)


@pytest.mark.parametrize(
    ("slug", "grams"), [("soda_monohydrate", "1170.0"), ("washing_soda_crystals", "2699.7"), ("baking_soda", "1585.2")]
)
def test_grams_equal_in_alkali_to_a_kilogram_of_soda_ash(slug: str, grams: str) -> None:
    assert round(alkali_equal(Decimal(1000), "soda_ash", slug), 1) == Decimal(grams)


@pytest.mark.parametrize(
    ("alum", "soda", "percent"),
    [
        ("potash_alum", "washing_soda_crystals", "27.6"),
        ("potash_alum", "soda_monohydrate", "63.8"),
        ("potash_alum", "soda_ash", "74.6"),
        ("ammonium_alum", "washing_soda_crystals", "26.4"),
        ("ammonium_alum", "soda_monohydrate", "60.9"),
        ("ammonium_alum", "soda_ash", "71.3"),
    ],
)
def test_basicity_of_the_published_recipe_depends_on_which_soda_it_is(alum: str, soda: str, percent: str) -> None:
    """A pound of alum to four ounces of soda: crystals are meant; dry soda would nearly treble it."""
    alum_grams = units.to_base(Decimal(1), "lb", "g")
    soda_grams = units.to_base(Decimal(4), "oz", "g")
    found = facts([Line("alum", alum, alum_grams), Line("soda", soda, soda_grams)])
    assert found is not None
    assert found.basicity == Decimal(percent)


@pytest.mark.parametrize(
    ("soda", "litres"), [("washing_soda_crystals", "9.5"), ("soda_monohydrate", "22.0"), ("soda_ash", "25.7")]
)
def test_gas_of_the_published_recipe(soda: str, litres: str) -> None:
    grams = units.to_base(Decimal(4), "oz", "g")
    assert round(co2_litres(grams, soda), 1) == Decimal(litres)


@pytest.mark.parametrize(
    ("soda", "litres"),
    [("soda_ash", "227.0"), ("soda_monohydrate", "194.0"), ("washing_soda_crystals", "84.1"), ("baking_soda", "286.4")],
)
def test_gas_of_a_kilogram(soda: str, litres: str) -> None:
    """0.2270, 0.1940, 0.0841 and 0.2864 L a gram at 20 °C and 101.325 kPa (24.0551 L/mol)."""
    assert abs(co2_litres(Decimal(1000), soda) - Decimal(litres)) <= Decimal("0.05")
