from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from inventory.base import checks
from inventory.errors import DensityNeeded, Refused, Taken
from inventory.materials import services as materials
from inventory.models import Kind, Material
from tests.factories import DAY, material, place, recipe, supplier

pytestmark = pytest.mark.django_db
D = Decimal


def details(**given: Any) -> materials.Details:
    return materials.Details(**{"name": "Alum", "unit": "kg", **given})


def test_a_new_material_is_kept_in_its_base_unit_with_nothing_on_the_shelf() -> None:
    made = material("OILN", "L", pack_quantity=D("0.5"), substance="", supplier=supplier(), place=place())
    assert (made.base, made.unit, made.pack_quantity, made.on_hand, made.value) == ("mL", "L", D(500), 0, 0)


def test_an_alum_must_be_named_exactly() -> None:
    with pytest.raises(Refused, match="is sold as different things"):
        materials.create(code="A", details=details(substance="alum"))


def test_a_unit_must_be_one_size_everywhere() -> None:
    with pytest.raises(Refused, match="is not one size everywhere"):
        materials.create(code="A", details=details(unit="cup"))


def test_a_code_is_taken_in_any_spelling() -> None:
    material("ALUMK")
    with pytest.raises(Taken, match="The code alumk is used already"):
        materials.create(code="alumk", details=details())


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": " "}, "name"),
        ({"name": "a\x07"}, "name"),
        ({"name": "x" * 81}, "name"),
        ({"density_g_per_ml": D(0)}, "density_g_per_ml"),
        ({"density_g_per_ml": D("0.0004")}, "density_g_per_ml"),
        ({"density_g_per_ml": D("NaN")}, "density_g_per_ml"),
        ({"pack_quantity": D(0)}, "pack_quantity"),
        ({"pack_quantity": D("0.0000001")}, "pack_quantity"),
        ({"pack_quantity": D("1e13")}, "pack_quantity"),
        ({"lead_days": -1}, "lead_days"),
        ({"safety_days": 3651}, "safety_days"),
        ({"shelf_life_days": 99999}, "shelf_life_days"),
        ({"hazard_note": "x" * 201}, "hazard_note"),
    ],
)
def test_what_cannot_be_kept_is_refused_beside_its_field(given: dict[str, Any], field: str) -> None:
    with pytest.raises(Refused) as refusal:
        materials.create(code="A", details=details(**given))
    assert refusal.value.field == field
    assert not Material.objects.exists()


def test_a_unit_may_change_within_its_kind_and_the_shelf_stays() -> None:
    alum = material(on_hand="0.6", value="2.70")
    changed = materials.change(material=alum, details=details(unit="g"))
    assert (changed.unit, changed.on_hand, changed.value) == ("g", D(600), D("2.70"))


def test_the_base_stays_once_something_moved() -> None:
    alum = material(on_hand=1)
    with pytest.raises(Refused, match="cannot become mL"):
        materials.change(material=alum, details=details(unit="L"))


def test_the_base_stays_once_a_recipe_names_it() -> None:
    used = recipe().lines.get().material
    with pytest.raises(Refused, match="cannot become mL"):
        materials.change(material=used, details=details(unit="L"))


def test_the_base_may_change_while_nothing_depends_on_it() -> None:
    assert materials.change(material=material(), details=details(unit="L")).base == "mL"


def test_where_a_material_is_changes_by_a_move_and_never_by_a_description() -> None:
    here, there = place("Shed shelf"), place("Cellar")
    salt = material("SALT", place=here)
    with pytest.raises(Refused, match=r"Material SALT is at Shed shelf\. To put it at Cellar, move it") as refused:
        materials.change(material=salt, details=details(place=there))
    assert refused.value.field == "place"
    for told in (None, here):
        assert materials.change(material=salt, details=details(place=told)).place == here


def test_opening_stock_comes_in_as_its_own_kind() -> None:
    alum = material(on_hand="0.6", value="2.70")
    move = alum.movements.get()
    assert (alum.on_hand, alum.value, move.kind, move.typed) == (D(600), D("2.70"), Kind.OPENING, "0.6 kg")


def test_opening_stock_is_counted_in_whole_coins() -> None:
    with pytest.raises(Refused, match="more than 2 decimals"):
        material(on_hand=1, value="2.705")


def test_a_cup_of_powder_needs_its_own_density() -> None:
    salt = material("SALT", on_hand=1)
    with pytest.raises(DensityNeeded, match="fill one cup level"):
        materials.to_base(salt, D(1), "us_cup")
    weighed = materials.weigh(material=salt, measure=D(1), unit="us_cup", grams=D(292))
    assert weighed.density_g_per_ml == D("1.234")
    assert materials.to_base(weighed, D(2), "us_cup") == D("583.900")


@pytest.mark.parametrize(("unit", "grams"), [("kg", "100"), ("us_cup", "0"), ("us_cup", "0.0001"), ("us_cup", "1e9")])
def test_a_weighing_that_cannot_be_is_refused(unit: str, grams: str) -> None:
    with pytest.raises(Refused):
        materials.weigh(material=material(), measure=D(1), unit=unit, grams=D(grams))


@pytest.mark.parametrize("value", ["-0.01", "0.001", "NaN"])
def test_money_that_cannot_be_paid_is_refused(value: str) -> None:
    with pytest.raises(Refused):
        checks.coins(D(value), "The price", field="price")


def test_a_form_sent_twice_makes_one_material() -> None:
    first, second = (materials.create(code="A", details=details(), request_key="k") for _ in range(2))
    assert first == second


def test_opening_stock_sent_twice_is_written_once() -> None:
    alum = material()
    for _ in range(2):
        materials.open_stock(material=alum, on=DAY, quantity=D(1), unit="kg", value=D(4), request_key="k")
    alum.refresh_from_db()
    assert alum.on_hand == D(1000)
