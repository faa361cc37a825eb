"""Pages of recipes: the list, one with its versions and chemistry, writing one, writing the next version."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import Recipe, RecipeLine, RecipeVersion
from costing.services import recipes
from inventory.models import Material
from tests import factories
from tests.inventory.pages import lines, queries, signed_in, text

pytestmark = pytest.mark.django_db

HEAD = {"code": "R1", "method": "alum_tawed", "name": "Taw bath", "litres_per_skin": "6", "request_key": "k1"}


@pytest.fixture
def client() -> Client:
    return signed_in()


def row(material: Material, amount: str, unit: str = "g", basis: str = "per_litre", **more: Any) -> dict[str, Any]:
    return {"material": material.pk, "amount": amount, "unit": unit, "basis": basis, **more}


def bath_recipe() -> RecipeVersion:
    alum = factories.material("ALUMK", substance="potash_alum")
    soda = factories.material("SODACRYS", substance="washing_soda_crystals")
    return factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre"),
        recipes.Line(soda, Decimal(20), "g", "per_litre"),
        litres_per_skin=Decimal(6),
    )


def test_pages_open_for_the_owner_and_send_others_to_sign_in(client: Client) -> None:
    factories.recipe("R1")
    names = [("recipes", []), ("recipe_new", []), ("recipe", ["R1"]), ("recipe_version_new", ["R1"])]
    for name, args in names:
        address = reverse(name, args=args)
        assert client.get(address).status_code == 200
        assert Client().get(address).status_code == 302
    assert client.get(reverse("recipe", args=["R9"])).status_code == 404


def test_no_recipe_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("recipes")))
    assert "No recipe yet" in page
    assert reverse("recipe_new") in page


def test_a_recipe_is_written_once_though_sent_twice(client: Client) -> None:
    alum, salt = factories.material("ALUMK"), factories.material("SALT")
    sent = HEAD | lines(row(alum, "80", step="bath", day="9"), {}, row(salt, "0,04", "kg"))
    for _ in range(2):
        assert client.post(reverse("recipe_new"), sent)["location"] == reverse("recipe", args=["R1"])
    version = RecipeVersion.objects.get()
    assert (version.number, version.litres_per_skin) == (1, Decimal(6000))
    assert list(version.lines.values_list("material__code", "amount", "basis", "step", "day")) == [
        ("ALUMK", Decimal(80), "per_litre", "bath", 9),
        ("SALT", Decimal(40), "per_litre", "", 0),
    ]


def test_without_a_unit_the_amount_is_in_the_unit_of_the_shelf_or_percent(client: Client) -> None:
    salt = factories.material("SALT")
    sent = HEAD | lines(row(salt, "0.04", ""), row(salt, "40", "", "percent_of_weight"))
    assert client.post(reverse("recipe_new"), sent).status_code == 302
    assert list(RecipeLine.objects.values_list("amount", "typed")) == [
        (Decimal(40), "0.04 kg"),
        (Decimal(40), "40 %"),
    ]


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"amount": "0"}, "amount", "Enter how much"),
        ({"amount": "-80"}, "amount", "more than nothing"),
        ({"amount": "much"}, "amount", "Enter a number"),
        ({"unit": "m"}, "unit", "measures length"),
        ({"unit": "us_cup"}, "unit", "density"),
        ({"material": ""}, "material", "Choose the material"),
        ({"basis": ""}, "basis", "Choose what the amount is for"),
        ({"day": "-1"}, "day", "greater than or equal to 0"),
    ],
)
def test_a_wrong_line_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    alum = factories.material("ALUMK")
    answer = client.post(reverse("recipe_new"), HEAD | lines(row(alum, "80"), row(alum, "80") | wrong))
    assert said in answer.context["rows"].forms[1].errors[field][0]
    assert not answer.context["rows"].forms[0].errors
    assert any(told.startswith("Line 2") for told in answer.context["form"].non_field_errors())
    assert not Recipe.objects.exists()


def test_a_recipe_without_lines_is_refused(client: Client) -> None:
    answer = client.post(reverse("recipe_new"), HEAD | lines({}, {}))
    assert "has no lines" in text(answer)
    assert not Recipe.objects.exists()


def test_a_code_in_use_is_refused_beside_its_box(client: Client) -> None:
    factories.recipe("R1")
    alum = factories.material("ALUMK")
    answer = client.post(reverse("recipe_new"), HEAD | lines(row(alum, "80")))
    assert answer.status_code == 200
    assert "R1 has a version 1 already" in text(answer)
    assert RecipeVersion.objects.count() == 1


def test_more_lines_keep_what_was_typed_and_write_nothing(client: Client) -> None:
    alum = factories.material("ALUMK")
    sent = HEAD | lines(row(alum, "eighty"), {}) | {"more": "1"}
    answer = client.post(reverse("recipe_new"), sent)
    page = answer.content.decode()
    assert 'name="rows-TOTAL_FORMS" value="5"' in page
    assert 'value="eighty"' in page
    assert f'<option value="{alum.pk}" selected' in page
    assert 'value="Taw bath"' in page
    assert 'value="k1"' in page
    assert "Not saved yet" not in page
    assert not Recipe.objects.exists()


def test_the_next_version_opens_with_the_last_ones_lines(client: Client) -> None:
    bath_recipe()
    answer = client.get(reverse("recipe_version_new", args=["R1"]))
    page = answer.content.decode()
    assert 'value="80"' in page
    assert 'value="20"' in page
    assert 'name="litres_per_skin" value="6"' in page


def test_the_next_version_leaves_the_last_as_it_was(client: Client) -> None:
    first = bath_recipe()
    alum = Material.objects.get(code="ALUMK")
    sent = {"name": "", "litres_per_skin": "", "note": "weaker", "request_key": "k2"} | lines(row(alum, "60"))
    for _ in range(2):
        assert client.post(reverse("recipe_version_new", args=["R1"]), sent).status_code == 302
    assert list(RecipeVersion.objects.order_by("number").values_list("number", flat=True)) == [1, 2]
    assert [line.amount for line in first.lines.all()] == [Decimal(80), Decimal(20)]
    page = text(client.get(reverse("recipe", args=["R1"])))
    assert "Version 1" in page
    assert "weaker" in page


def test_alum_and_soda_show_their_facts_with_a_caution(client: Client) -> None:
    """80 g potash alum and 20 g soda crystals a litre: basicity 27.6 % as in the demo year, 1.7 L of gas a litre."""
    bath_recipe()
    page = text(client.get(reverse("recipe", args=["R1"])))
    assert "27.6" in page
    assert "0.169 mol" in page
    assert "pour slowly, open vessel, never seal" in page
    assert "read the supplier's data sheet" in page


def test_alum_and_soda_of_different_days_do_not_meet(client: Client) -> None:
    alum = factories.material("ALUMK", substance="potash_alum")
    soda = factories.material("BICARB", substance="baking_soda")
    factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre"),
        recipes.Line(soda, Decimal(10), "g", "per_litre", day=11),
    )
    assert "Where alum and soda meet" not in text(client.get(reverse("recipe", args=["R1"])))


def test_the_page_names_the_batches_that_used_it(client: Client) -> None:
    factories.batch("B7", version=bath_recipe())
    assert reverse("batch", args=["B7"]) in text(client.get(reverse("recipe", args=["R1"])))


def test_the_list_is_found_by_code_name_and_method(client: Client) -> None:
    factories.recipe("R1", name="Taw bath")
    factories.recipe("R3", name="Bark", method="bark")
    by_word = text(client.get(reverse("recipes"), {"words": "taw"}))
    assert reverse("recipe", args=["R1"]) in by_word
    assert reverse("recipe", args=["R3"]) not in by_word
    assert reverse("recipe", args=["R1"]) not in text(client.get(reverse("recipes"), {"method": "bark"}))


def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    factories.batch("B1", version=factories.recipe("R01"))
    one = queries(client, reverse("recipes"))
    for number in range(2, 31):
        factories.recipe(f"R{number:02d}")
    assert queries(client, reverse("recipes")) == one


def test_a_recipe_takes_as_many_queries_for_thirty_lines_and_versions_as_for_one(client: Client) -> None:
    alum = factories.material("ALUMK")
    line = recipes.Line(alum, Decimal(80), "g", "per_litre")
    factories.batch("B1", version=factories.recipe("R1", line))
    one = queries(client, reverse("recipe", args=["R1"]))
    form = queries(client, reverse("recipe_version_new", args=["R1"]))
    for number in range(10):
        factories.batch(f"C{number}", version=factories.recipe("R1", *[line] * 10))
    assert queries(client, reverse("recipe", args=["R1"])) == one
    assert queries(client, reverse("recipe_version_new", args=["R1"])) == form
