"""Rules of thumb of the trade, worked through the product: common practice, no source.

None of them is a recommendation; they are sums a maker does in the head, so a wrong unit or factor shows at once.
"""

from __future__ import annotations

from decimal import Decimal

from costing.make.recipes.rules import Measures, scale
from inventory import units


def grams(text: str) -> Decimal:
    amount, unit = units.parse(text)
    return units.to_base(amount, unit, "g")


def millilitres(text: str) -> Decimal:
    amount, unit = units.parse(text)
    return units.to_base(amount, unit, "mL")


def litres(text: str) -> Decimal:
    return units.from_base(millilitres(text), "L")


def test_alum_at_a_hundred_grams_a_litre_makes_nine_hundred_grams_for_nine_litres() -> None:
    """Common practice, no source."""
    needed = scale(grams("100 g"), "per_litre", Measures(litres=litres("9 L")), "alum")
    assert needed == 900
    assert units.show(needed, "kg") == "0.9 kg"


def test_two_imperial_gallons_are_about_nine_litres_and_two_american_ones_are_not() -> None:
    """Common practice, no source; read as American, the bath would be a sixth weaker in water."""
    assert abs(litres("2 imperial_gallon") - 9) < Decimal("0.1")
    assert abs(litres("2 us_gallon") - 9) > 1


def test_the_same_strength_for_two_imperial_gallons_is_still_about_nine_hundred_grams() -> None:
    """Common practice, no source."""
    needed = scale(grams("100 g"), "per_litre", Measures(litres=litres("2 imperial_gallon")), "alum")
    assert abs(needed - 900) / 900 < Decimal("0.02")


def test_a_fallow_sized_hide_of_five_kilograms_takes_about_two_of_salt_to_cure() -> None:
    """Common practice, no source: two fifths of green weight, in kilograms and in pounds alike."""
    two_fifths = Decimal(40)
    assert scale(two_fifths, "percent_of_weight", Measures(weight_g=grams("5 kg")), "salt") == grams("2 kg")
    in_pounds = scale(two_fifths, "percent_of_weight", Measures(weight_g=grams("11 lb")), "salt")
    assert abs(units.from_base(in_pounds, "lb", "g") - Decimal("4.4")) < Decimal("0.0001")


def test_oil_one_to_one_with_water_makes_twice_the_oil() -> None:
    """Common practice, no source: 80 mL a skin for three skins, and as much warm water."""
    oil = scale(millilitres("80 mL"), "per_skin", Measures(skins=3), "oil")
    water = scale(millilitres("0,8 dL"), "per_skin", Measures(skins=3), "water")
    assert oil == water == millilitres("240 mL")
    assert units.show(oil + water, "L") == "0.48 L"


def test_a_square_foot_is_a_little_over_nine_square_decimetres() -> None:
    """Common practice, no source (the definition is in test_units)."""
    area = units.to_base(Decimal(1), "sq_ft", "cm2")
    assert Decimal("9.2") < units.from_base(area, "dm2") < Decimal("9.3")
