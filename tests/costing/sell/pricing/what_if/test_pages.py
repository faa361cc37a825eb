"""The page “What if”: asked by address, answered for what is really there, and nothing is kept."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client

from costing.make.recipes import services as recipes
from costing.models import Batch
from inventory.base.accounting import services as setting
from inventory.models import Movement
from tests import factories
from tests.factories import batch, days_from, delivery, line, material, recipe, skin
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
ON = date(2025, 3, 4)
day = days_from(ON)
PAGE = "/what-if/"


@pytest.fixture
def _gallons() -> None:
    """A workshop in pounds and gallons: a bath by the gallon, and a tanning oil by the weight of the skin."""
    setting.pin_today(on=ON)
    setting.set_up(units="us", bath_unit="us_gallon", currency="USD")
    alum, oil = material("ALUMK", "lb", lead_days=7, pack_quantity=D(5)), material("OIL", "lb", lead_days=7)
    delivery(line(alum, 1, 5, "12.00"), line(oil, 1, 4, "30.00"))
    asks = recipes.Line(alum, D("0.5"), "lb", "per_us_gallon")
    recipe("R1", asks, litres_per_skin=D("5.678118"))
    version = recipe("R2", recipes.Line(oil, D(10), "%", "percent_of_weight"))
    for tag, pounds in (("H1", "3628.739"), ("H2", "4535.924"), ("H3", "5443.108")):
        skin(tag, green_weight=D(pounds), weight_unit="lb", price=20)
    batch("B1", version=version, tags=["H1", "H2", "H3"], start=day(20))


@pytest.mark.usefixtures("_gallons")
def test_a_recipe_by_weight_in_pounds(client: Client) -> None:
    page = text(client.get(PAGE, {"recipe": "R2", "skins": "5"}))
    assert "One more batch of 5 skins by R2" in page
    # 10 % of five skins of 10 lb each.
    assert "<dt>Material OIL</dt><dd>5 lb on 4 Mar 2025</dd>" in page
    assert "A green skin weighs 10 lb, the median of 3 skins of R2's batches." in page
    assert "litre" not in page
    assert " kg" not in page


@pytest.mark.usefixtures("_gallons")
def test_a_recipe_by_the_gallon_says_its_bath_in_gallons(client: Client) -> None:
    page = text(client.get(PAGE, {"recipe": "R1", "skins": "4"}))
    assert "6 US gal of bath" in page
    assert "<dt>Material ALUMK</dt><dd>3 lb on 4 Mar 2025</dd>" in page
    assert "<dt>Largest batch by R1</dt><dd>10.0 US gal, 6 skins" in page


@pytest.mark.usefixtures("_gallons")
def test_what_differs_is_said_in_a_word(client: Client) -> None:
    page = text(client.get(PAGE, {"material": "OIL", "percent": "20"}))
    # 3 lb of oil at 7.50, and at 9.00.
    assert 'now</span> 22.50 $ <span aria-hidden="true">→</span><span class="sr">then</span> <b>27.00 $</b>' in page
    assert '<span class="differs">4.50 $ more</span>' in page
    assert "Least price of a piece" in page
    assert "H1, H2, H3" in page


@pytest.mark.usefixtures("_gallons")
def test_nothing_is_kept(client: Client) -> None:
    before = Batch.objects.count(), Movement.objects.count()
    client.get(PAGE, {"recipe": "R1", "skins": "4", "material": "OIL", "percent": "20", "slower": "2"})
    assert (Batch.objects.count(), Movement.objects.count()) == before


@pytest.mark.thorough
@pytest.mark.usefixtures("_gallons")
def test_the_page_alone_asks_and_says_what_the_shelf_allows(client: Client) -> None:
    page = text(client.get(PAGE))
    assert "no batch: the shelf and what is ordered are enough" in page
    assert "Largest batch by R1" in page
    assert "differs" not in page
    assert 'value="20"' in page  # the usual rise stands in the box


@pytest.mark.thorough(but=2)
@pytest.mark.usefixtures("_gallons")
@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"recipe": "R9"}, "Select a valid choice"),
        ({"recipe": "R1", "skins": "0"}, "greater than or equal to 1"),
        ({"recipe": "R1", "skins": "501"}, "less than or equal to 500"),
        ({"recipe": "R1", "skins": "two"}, "whole number"),
        ({"recipe": "R1", "start": "2025-03-03"}, "The batch would begin on 2025-03-03, before 2025-03-04"),
        ({"material": "OIL", "percent": "0"}, "more than 0 and at most 1000 %"),
        ({"material": "OIL", "percent": "-5"}, "more than 0 and at most 1000 %"),
        ({"material": "OIL", "percent": "lots"}, "lots"),
        ({"slower": "99"}, "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_box(client: Client, asked: dict[str, str], words: str) -> None:
    answer = client.get(PAGE, asked)
    assert answer.status_code == 200
    page = text(answer)
    assert words in page
    assert 'aria-invalid="true"' in page
    assert "differs" not in page


@pytest.mark.thorough
@pytest.mark.usefixtures("_gallons")
def test_one_who_may_read_may_ask() -> None:
    asked = {"material": "OIL", "percent": "20"}
    assert "27.00 $" in text(signed_in(factories.person("bookkeeper")).get(PAGE, asked))
    assert signed_in(factories.person("helper")).get(PAGE, asked).status_code == 403


@pytest.mark.thorough
@pytest.mark.usefixtures("_gallons")
def test_a_material_offers_one_more_batch_of_the_recipes_that_use_it(client: Client) -> None:
    page = text(client.get("/shelf/OIL/"))
    assert 'action="/what-if/"' in page
    assert '<option value="R2">' in page
    assert '<option value="R1">' not in page
    assert "/what-if/?material=OIL&amp;percent=20" in page
    material("TAG", "piece")
    assert 'action="/what-if/"' not in text(client.get("/shelf/TAG/"))


@pytest.mark.thorough
@pytest.mark.usefixtures("_gallons")
def test_queries_do_not_grow_with_materials(client: Client) -> None:
    few = queries(client, f"{PAGE}?recipe=R1&material=OIL&slower=2")
    for nth in range(8):
        material(f"M{nth}", on_hand=3, value=3)
    assert queries(client, f"{PAGE}?recipe=R1&material=OIL&slower=2") == few


def test_an_empty_workshop_is_told_so(client: Client) -> None:
    page = text(client.get(PAGE, {"slower": "2"}))
    assert "No change" in page
    assert "Largest batch" not in page
