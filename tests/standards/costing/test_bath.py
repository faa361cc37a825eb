"""Bath facts against independent molar masses and against figures derived from a published recipe.

Sources: `molmass` (mean isotopic masses) for every mole; the ideal gas with the exact SI gas constant; Schorlemmer's
definition of basicity as in the scope of ASTM D3897 (chrome liquors), for aluminium by analogy; New Mexico State
University, Guide L-103 (alum 1 lb, washing soda crystals 4 oz, salt 8 oz in 1.5 US gallons) for the proportions. The
figures of the demonstration batch were reckoned by hand, and once more with `chempy` 0.10 outside this suite: 3.0356 mol
aluminium, 1.2581 mol soda, 27.63 %, 30.26 L, and 1,436.7 g of potash alum for 900 g of aluminium sulphate.
"""

from __future__ import annotations

from decimal import Decimal

import molmass
import pytest

from costing.make.baths import selectors as baths
from costing.make.baths.chemistry.bath import Line, bath_facts, strength
from costing.make.baths.chemistry.substitution import substitute
from costing.make.recipes import services as recipes
from inventory import units
from inventory.substances import SUBSTANCES
from tests import factories

# Published sulphur weights differ (32.06 and 32.065), which moves the alums in the fifth digit.
FIVE_DIGITS = 1e-4
GAS_LITRES_PER_MOL = 8.31446261815324 * 293.15 / 101.325

B1 = [
    Line("ALUMK", "potash_alum", Decimal(1440)),
    Line("SALT", "salt", Decimal(720)),
    Line("SODACRYS", "washing_soda_crystals", Decimal(360)),
]


def mass(slug: str) -> float:
    return float(molmass.Formula(SUBSTANCES[slug].formula.replace("·", ".")).mass)


def test_moles_of_the_demonstration_bath() -> None:
    found = bath_facts(B1, Decimal(18))
    assert float(found.aluminium_mol) == pytest.approx(1440 / mass("potash_alum"), abs=0.0006)
    assert found.aluminium_mol == pytest.approx(Decimal("3.035"), abs=Decimal("0.001"))
    assert float(found.alkalis[0].mol) == pytest.approx(360 / mass("washing_soda_crystals"), abs=0.0005)
    assert found.alkalis[0].mol == Decimal("1.258")


def test_basicity_of_the_demonstration_bath() -> None:
    found = bath_facts(B1, Decimal(18))
    aluminium, soda = 1440 / mass("potash_alum"), 360 / mass("washing_soda_crystals")
    assert float(found.basicity or 0) == pytest.approx(100 * 2 * soda / (3 * aluminium), abs=0.05)
    assert found.basicity == Decimal("27.6")


@pytest.mark.thorough
def test_gas_of_the_demonstration_bath_is_about_thirty_litres() -> None:
    found = bath_facts(B1, Decimal(18))
    assert float(found.co2_litres) == pytest.approx(360 / mass("washing_soda_crystals") * GAS_LITRES_PER_MOL, abs=0.06)
    assert round(found.co2_litres) == 30


def test_the_published_recipe_has_the_strengths_derived_from_it() -> None:
    """NMSU L-103 in metric: 79.9 g/L alum, 39.9 g/L salt, 20.0 g/L soda crystals on 1.5 US gallons of water."""
    pound, ounce = (units.to_base(Decimal(1), unit, "g") for unit in ("lb", "oz"))
    litres = units.to_base(Decimal("1.5"), "us_gallon", "mL") / 1000
    lines = [
        Line("alum", "potash_alum", pound),
        Line("salt", "salt", 8 * ounce),
        Line("soda", "washing_soda_crystals", 4 * ounce),
    ]
    found = bath_facts(lines, litres)
    assert [strength(line.grams, litres) for line in lines] == [Decimal("79.9"), Decimal("39.9"), Decimal("20.0")]
    assert found.basicity == Decimal("27.6")
    assert found.co2_litres == Decimal("9.5")


def test_potash_alum_for_nine_hundred_grams_of_sulphate() -> None:
    grams = substitute(Decimal(900), "aluminium_sulphate_14", "potash_alum").grams
    assert round(grams) == 1437
    independent = 900 * 2 / mass("aluminium_sulphate_14") * mass("potash_alum")
    assert float(grams) == pytest.approx(independent, rel=FIVE_DIGITS)


@pytest.mark.parametrize(("to", "grams", "each"), [("washing_soda_crystals", "2.70", 1), ("baking_soda", "1.585", 2)])
def test_a_gram_of_soda_ash_in_other_sodas(to: str, grams: str, each: int) -> None:
    """One carbonate neutralises as much as two bicarbonates."""
    found = substitute(Decimal(1000), "soda_ash", to).grams / 1000
    assert found == pytest.approx(Decimal(grams), abs=Decimal("0.0005"))
    assert float(found) == pytest.approx(each * mass(to) / mass("soda_ash"), rel=FIVE_DIGITS)


@pytest.mark.parametrize("alum", [slug for slug, row in SUBSTANCES.items() if row.aluminium_per_mol])
def test_each_alum_brings_the_aluminium_its_formula_has(alum: str) -> None:
    formula = molmass.Formula(SUBSTANCES[alum].formula.replace("·", "."))
    expected = 1000 * formula.composition()["Al"].fraction
    found = bath_facts([Line("alum", alum, Decimal(1000))], Decimal(10))
    assert float(found.aluminium_g) == pytest.approx(expected, rel=FIVE_DIGITS)


def test_baking_soda_in_the_place_of_crystals_gives_twice_the_gas() -> None:
    """One carbonate and two bicarbonates neutralise alike, and each of the three gives one carbon dioxide."""
    grams = substitute(B1[2].grams, B1[2].substance, "baking_soda").grams
    swapped = bath_facts([*B1[:2], Line("BICARB", "baking_soda", grams)], Decimal(18))
    moles = 2 * 360 / mass("washing_soda_crystals")
    assert float(swapped.co2_litres) == pytest.approx(moles * GAS_LITRES_PER_MOL, abs=0.06)
    assert swapped.basicity == bath_facts(B1, Decimal(18)).basicity


@pytest.mark.django_db
def test_a_recipe_in_cups_weighs_what_the_cup_holds() -> None:
    """A US cup is a sixteenth of a gallon of 231 cubic inches: NIST Handbook 44, appendix C, its digits read through `pint`."""
    cup = Decimal(231) * Decimal("2.54") ** 3 / 16
    salt = factories.material("SALT", on_hand=9, density_g_per_ml=Decimal("1.2"), substance="salt")
    version = factories.recipe("R5", recipes.Line(salt, Decimal("0.5"), "us_cup", "per_litre"))
    [line] = baths.bath(version, Decimal(18)).lines
    assert line.measure == "9 US cup"
    assert line.quantity == pytest.approx(9 * cup * Decimal("1.2"), abs=Decimal("0.01"))
