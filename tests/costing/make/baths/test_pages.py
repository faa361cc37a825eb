"""The page that works out a bath: it asks by GET, shows amounts and cautions, and writes nothing."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from costing.make.recipes import services as recipes
from costing.models import RecipeVersion
from inventory.base.accounting import services as workshop
from inventory.models import Material, Movement, Place
from tests import factories
from tests.inventory.pages import queries, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))


@pytest.fixture(autouse=True)
def taw() -> RecipeVersion:
    alum = factories.material("ALUMK", on_hand="2", value="9.00", name="Potash alum", substance="potash_alum")
    soda = factories.material("SODACRYS", on_hand="2", value="5.00", substance="washing_soda_crystals")
    return factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre", how="bath"),
        recipes.Line(soda, Decimal(20), "g", "per_litre", how="bath, dissolved and slowly"),
        litres_per_skin=Decimal(6),
    )


def asked(client: Client, **words: str) -> HttpResponse:
    return client.get(reverse("recipe_bath", args=["R1"]), words)


def errors(answer: HttpResponse) -> dict[str, list[str]]:
    return answer.context["form"].errors


def test_the_page_opens_for_the_owner_and_stands_on_the_recipe(client: Client) -> None:
    address = reverse("recipe_bath", args=["R1"])
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.context["bath"] is None
    assert not answer.context["form"].is_bound
    assert address in text(client.get(reverse("recipe", args=["R1"])))


def test_a_bath_shows_its_amounts_in_order_with_froth_beside_the_soda(client: Client) -> None:
    page = text(asked(client, litres="18"))
    alum, soda = page.index('<b class="as-title">1 440 g</b>'), page.index('<b class="as-title">360 g</b>')
    froth = page.index("Never close the vessel")
    assert alum < soda < froth < page.index("What meets in it")
    assert "27.6" in page
    assert "30.3" in page
    assert "80 g a litre, of 116 g that plain water holds at 20 °C" in page
    assert "The shelf allows <b>25.0 L, 4 skins</b>; Potash alum" in page


def test_litres_come_from_weight_and_float(client: Client) -> None:
    assert asked(client, weight="14,2", float_ratio="1.5").context["bath"].litres == Decimal("21.3")


def test_a_tub_alone_gives_the_most_that_it_holds(client: Client) -> None:
    tub = factories.place("Tub", Place.Kind.TUB, litres=Decimal(20))
    answer = asked(client, vessel=str(tub.pk))
    assert answer.context["bath"].litres == Decimal("13.3")
    assert "Tub holds it with the room above it" in text(answer)


def test_a_bath_larger_than_its_tub_says_what_would_fit(client: Client) -> None:
    tub = factories.place("Tub", Place.Kind.TUB, litres=Decimal(20))
    assert "make at most 13.3 L, or take a larger vessel" in text(asked(client, litres="18", vessel=str(tub.pk)))


def test_another_alum_is_offered_and_used_with_its_caution(client: Client) -> None:
    factories.material("ALSUL", on_hand=1, value="4.00", substance="aluminium_sulphate_14")
    assert "Material ALSUL, 1 kg there" in text(asked(client))
    page = text(asked(client, litres="18", alum="ALSUL"))
    assert "Instead of 1 440 g of Potash alum." in page
    assert "Equal metal is not equal tanning" in page
    assert "Equal metal" not in text(asked(client, litres="18"))


def test_what_could_stand_in_for_nothing_is_not_offered(client: Client) -> None:
    factories.material("LIME", on_hand=1, substance="hydrated_lime")
    assert "LIME" not in text(asked(client))
    assert "alum" not in asked(client).context["form"].fields


def test_a_cold_shed_is_warned(client: Client) -> None:
    assert "more than the water holds" in text(asked(client, litres="18", celsius="5"))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("words", "box", "said"),
    [
        ({"skins": "3"}, "litres", "Give its size"),
        ({"litres": "0"}, "litres", "above zero"),
        ({"litres": "much"}, "litres", "is not a figure"),
        ({"litres": "18", "weight": "-1"}, "weight", "above zero"),
        ({"weight": "2", "float_ratio": "0"}, "float_ratio", "above zero"),
        ({"litres": "18", "celsius": "140"}, "celsius", "from 0 to 100"),
        ({"litres": "18", "skins": "0"}, "skins", "greater than or equal to 1"),
        ({"litres": "18", "vessel": "99"}, "vessel", "not one of the available"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_box(client: Client, words: dict[str, str], box: str, said: str) -> None:
    answer = asked(client, **words)
    assert said in errors(answer)[box][0]
    assert answer.context["bath"] is None
    assert answer.status_code == 200


def test_cups_of_a_jar_never_weighed_are_refused_in_words(client: Client) -> None:
    salt = factories.material("SALT", density_g_per_ml=Decimal("1.2"))
    factories.recipe("R5", recipes.Line(salt, Decimal("0.5"), "us_cup", "per_litre"))
    Material.objects.filter(pk=salt.pk).update(density_g_per_ml=None)
    answer = client.get(reverse("recipe_bath", args=["R5"]), {"litres": "4"})
    assert "Material SALT (SALT) is kept in g, and US cup" in errors(answer)["__all__"][0]


def test_a_recipe_without_a_bath_says_so(client: Client) -> None:
    factories.recipe("R2", recipes.Line(factories.material("FLOUR"), Decimal(480), "g", "per_skin"))
    answer = client.get(reverse("recipe_bath", args=["R2"]), {"litres": "4"})
    assert "calculates nothing per litre" in errors(answer)["__all__"][0]


def test_an_older_version_is_worked_out_by_its_number(client: Client) -> None:
    alum = Material.objects.get(code="ALUMK")
    factories.recipe("R1", recipes.Line(alum, Decimal(60), "g", "per_litre"))
    assert asked(client, litres="10").context["bath"].lines[0].quantity == Decimal(600)
    answer = asked(client, litres="10", version="1")
    assert answer.context["bath"].lines[0].quantity == Decimal(800)
    assert 'name="version" value="1"' in text(answer)
    assert not asked(client, version="1").context["form"].is_bound


@pytest.mark.parametrize("version", ["9", "x", "²", "99999999"])
def test_a_version_that_is_not_there_is_not_found(client: Client, version: str) -> None:
    assert asked(client, version=version).status_code == 404


def test_a_recipe_of_two_baths_asks_which(client: Client) -> None:
    bark = factories.material("BARK", on_hand=50)
    two = [recipes.Line(bark, Decimal(amount), "g", "per_litre", day=day) for amount, day in ((200, 12), (150, 31))]
    factories.recipe("R3", *two)
    answer = client.get(reverse("recipe_bath", args=["R3"]), {"litres": "10", "day": "31"})
    assert answer.context["bath"].lines[0].quantity == Decimal(1500)


def test_what_tops_a_bath_up_on_a_later_day_is_no_bath_to_choose(client: Client) -> None:
    soda, acid = factories.material("SODA9", on_hand=9), factories.material("ACID9", on_hand=9)
    topped = [recipes.Line(of, Decimal(20), "g", "per_litre", day=day) for of, day in ((acid, 0), (soda, 3))]
    factories.recipe("R9", *topped)
    answer = client.get(reverse("recipe_bath", args=["R9"]), {"litres": "10"})
    assert "day" not in answer.context["form"].fields
    assert [line.material.code for line in answer.context["bath"].lines] == ["ACID9", "SODA9"]
    assert "on day 3" in text(answer)


def test_looking_writes_nothing_and_a_post_is_not_taken(client: Client) -> None:
    before = Movement.objects.count()
    asked(client, litres="18")
    assert Movement.objects.count() == before
    assert client.post(reverse("recipe_bath", args=["R1"]), {"litres": "18"}).status_code == 405


@pytest.mark.thorough
def test_the_page_takes_as_many_queries_for_many_materials_as_for_few(client: Client) -> None:
    address = reverse("recipe_bath", args=["R1"]) + "?litres=18"
    few = queries(client, address)
    for number in range(29):
        factories.material(f"M{number}", substance="soda_ash")
    assert queries(client, address) == few
