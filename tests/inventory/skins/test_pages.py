"""Pages of skins on the ground floor: the list, taking one in, saying it better."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.models import Skin, Supplier
from tests import factories
from tests.inventory.pages import queries, text

pytestmark = pytest.mark.django_db

NEW = {
    "tag": "H01",
    "species": "Sheep",
    "owner": "mine",
    "date_in": "2025-01-11",
    "supplier": "Sammalniitty Sheep Farm",
    "price": "12,00",
    "green_weight": "4,6",
    "weight_unit": "kg",
    "area_unit": "dm2",
    "request_key": "k",
}


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 12, 31))


def test_pages_open_for_the_owner(client: Client) -> None:
    factories.skin("H01")
    for address in (reverse("skins"), reverse("skin_new"), reverse("skin_edit", args=["H01"])):
        assert client.get(address).status_code == 200


def test_no_skin_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("skins")))
    assert "No skins yet" in page
    assert reverse("skin_new") in page


def test_taking_in_warns_of_raw_hides_and_wild_skins(client: Client) -> None:
    page = text(client.get(reverse("skin_new")))
    assert "animal by-products" in page
    assert "ask your authority" in page


def test_a_skin_is_taken_in_once_though_sent_twice(client: Client) -> None:
    for _ in range(2):
        answer = client.post(reverse("skin_new"), NEW)
        assert answer["location"] == reverse("skin", args=["H01"])
    skin = Skin.objects.get()
    assert (skin.green_weight, skin.price, skin.date_in) == (Decimal(4600), Decimal(12), date(2025, 1, 11))
    assert skin.supplier == Supplier.objects.get(name="Sammalniitty Sheep Farm")


@pytest.mark.parametrize(
    ("typed", "unit", "kept"),
    [("10", "lb", "4535.924"), ("4.6", "kg", "4600"), ("350", "g", "350"), ("4.6", "", "4600")],
)
def test_green_weight_is_typed_in_kilograms_or_pounds(client: Client, typed: str, unit: str, kept: str) -> None:
    client.post(reverse("skin_new"), NEW | {"green_weight": typed, "weight_unit": unit})
    assert Skin.objects.get().green_weight == Decimal(kept)


@pytest.mark.parametrize(("unit", "kept"), [("dm2", "1000"), ("sq_ft", "9290.304"), ("cm2", "10")])
def test_areas_are_typed_in_square_decimetres_feet_or_centimetres(client: Client, unit: str, kept: str) -> None:
    client.post(reverse("skin_new"), NEW | {"wet_area": "10", "area_unit": unit})
    assert Skin.objects.get().wet_area == Decimal(kept)


def test_a_customers_skin_has_no_price(client: Client) -> None:
    theirs = NEW | {"owner": "customer", "customer": "Mrs Tuohiköngäs"}
    refused = client.post(reverse("skin_new"), theirs)
    assert "A customer's skin is not stock" in refused.context["form"].errors["price"][0]
    assert not Skin.objects.exists()
    assert not Supplier.objects.exists()
    assert client.post(reverse("skin_new"), theirs | {"price": ""}).status_code == 302
    assert "Mrs Tuohiköngäs" in text(client.get(reverse("skins")))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"tag": "H 01"}, "tag"),
        ({"tag": "h02"}, "tag"),
        ({"species": ""}, "species"),
        ({"green_weight": "-1"}, "green_weight"),
        ({"date_in": "2925-01-11"}, "date_in"),
        ({"price": "-1"}, "price"),
        ({"source": "a\x07"}, "source"),
    ],
)
def test_a_wrong_entry_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str
) -> None:
    factories.skin("H02")
    answer = client.post(reverse("skin_new"), NEW | wrong)
    assert field in answer.context["form"].errors
    assert Skin.objects.count() == 1


def test_another_like_it_is_offered_with_the_next_tag(client: Client) -> None:
    answer = client.post(reverse("skin_new"), NEW | {"another": "on"})
    assert answer["location"] == f"{reverse('skin_new')}?like=H01"
    initial = client.get(answer["location"]).context["form"].initial
    assert (initial["tag"], initial["species"], initial["supplier"]) == ("H02", "Sheep", "Sammalniitty Sheep Farm")
    assert (initial["price"], initial["date_in"]) == (Decimal(12), date(2025, 1, 11))
    assert "green_weight" not in initial


def test_the_next_tag_steps_over_taken_ones(client: Client) -> None:
    factories.skin("h10")
    factories.skin("H09")
    assert client.get(reverse("skin_new")).context["form"].initial["tag"] == "H11"


def test_describing_a_skin_leaves_price_owner_and_day_as_they_were(client: Client) -> None:
    factories.skin("H03", green_weight=Decimal(5400), price=12)
    page = client.get(reverse("skin_edit", args=["H03"]))
    assert "price" not in page.context["form"].fields
    assert 'value="5.4"' in page.content.decode()
    sent = {"species": "Sheep", "defects": "2 holes", "green_weight": "5.4", "dry_area": "101", "request_key": "k"}
    assert client.post(reverse("skin_edit", args=["H03"]), sent)["location"] == reverse("skin", args=["H03"])
    skin = Skin.objects.get()
    assert (skin.defects, skin.dry_area, skin.price) == ("2 holes", Decimal(10100), Decimal(12))


def test_describing_a_skin_twice_without_a_change_keeps_an_odd_measure(client: Client) -> None:
    factories.skin("H03", green_weight=Decimal("4535.924"), wet_area=Decimal("9290.304"))
    shown = client.get(reverse("skin_edit", args=["H03"])).context["form"]
    sent = {name: shown.fields[name].prepare_value(value) or "" for name, value in shown.initial.items()}
    assert client.post(reverse("skin_edit", args=["H03"]), {**sent, "request_key": "k"}).status_code == 302
    skin = Skin.objects.get()
    assert (skin.green_weight, skin.wet_area) == (Decimal("4535.924"), Decimal("9290.304"))


def test_the_list_is_narrowed_by_stage_owner_and_words(client: Client) -> None:
    factories.skin("H01", species="Sheep")
    factories.skin("H02", species="Goat", owner="customer", price=0, customer="Mrs Tuohiköngäs")
    for asked in ({"owner": "customer"}, {"words": "goat"}, {"words": "tuohi"}, {"stage": "raw", "words": "H02"}):
        page = text(client.get(reverse("skins"), asked))
        assert "H02" in page
        assert ">H01<" not in page
    assert "No skin matches" in text(client.get(reverse("skins"), {"stage": "lost"}))


@pytest.mark.thorough
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    factories.skin("H", supplier=factories.supplier(), place=factories.place())
    one = queries(client, reverse("skins"))
    for number in range(29):
        factories.skin(f"H{number}", supplier=factories.supplier(f"S{number}"), place=factories.place(f"P{number}"))
    assert queries(client, reverse("skins")) == one


def asked(client: Client, address: str, **sent: str) -> str:
    """What the page asks before it keeps this; empty where it kept it."""
    answer = client.post(address, sent)
    return (
        "" if answer.status_code == 302 else text(answer).partition("<h2>Is this right?</h2>")[2].partition("<div")[0]
    )


@pytest.mark.thorough
def test_a_rabbit_of_380_kg_is_asked_about(client: Client) -> None:
    rabbit = NEW | {"species": "Rabbit", "price": "3"}
    assert "hardly any hide weighs more than 80 kg" in asked(
        client, reverse("skin_new"), **rabbit | {"green_weight": "380"}
    )
    for number, weight in enumerate(("0.38", "0.61")):
        assert not asked(
            client, reverse("skin_new"), **rabbit | {"tag": f"R{number}", "green_weight": weight, "request_key": weight}
        )
    heavy = rabbit | {"tag": "R9", "green_weight": "380", "request_key": "k9"}
    assert asked(client, reverse("skin_new"), **heavy) == (
        "<p>380 kg is entered for a rabbit skin; those taken in so far weighed 0.38 kg to 0.61 kg.</p>"
    )
    assert "837.76 lb is entered for a rabbit skin; those taken in so far weighed 0.838 lb to 1.34 lb." in asked(
        client, reverse("skin_new"), **heavy | {"green_weight": "837.7560", "weight_unit": "lb"}
    )


def test_a_price_ten_times_that_of_its_species_is_asked_about(client: Client) -> None:
    factories.skin("H01", species="Sheep", price=12)
    sheep = NEW | {"tag": "H02"}
    assert "120.00 € is entered as the price of a sheep skin" in asked(
        client, reverse("skin_new"), **sheep | {"price": "120"}
    )
    assert not asked(client, reverse("skin_new"), **sheep | {"price": "40"})


def test_a_weight_that_is_corrected_is_asked_about_and_one_that_stays_is_not(client: Client) -> None:
    factories.skin("H01", species="Rabbit", green_weight=Decimal(500))
    factories.skin("H02", species="Rabbit", green_weight=Decimal(90_000))
    stays = {"species": "Rabbit", "green_weight": "90", "weight_unit": "kg", "area_unit": "dm2"}
    assert not asked(client, reverse("skin_edit", args=["H02"]), **stays, request_key="a")
    assert "weighed 0.5 kg." in asked(
        client, reverse("skin_edit", args=["H02"]), **stays | {"green_weight": "50"}, request_key="b"
    )


@pytest.mark.thorough
def test_a_weight_in_pounds_and_an_area_in_square_feet_come_back_as_typed(client: Client) -> None:
    """Kept in grams and cm², they are shown and sent back in the unit that was chosen."""
    sent = {
        **NEW,
        "green_weight": "9",
        "dry_weight": "2.25",
        "weight_unit": "lb",
        "wet_area": "10",
        "area_unit": "sq_ft",
    }
    client.post(reverse("skin_new"), sent)
    assert Skin.objects.get().green_weight == Decimal("4082.331")
    assert "9 lb" in text(client.get(reverse("skins")))
    page = text(client.get(reverse("skin", args=["H01"])))
    assert "9 lb" in page
    assert "2.25 lb" in page
    assert "92.9 dm² (10 sq ft)" in page
    assert not [odd for odd in ("4.082", "92.90304", "kg") if odd in page]
    first = client.get(reverse("skin_edit", args=["H01"])).context["form"].initial
    assert (first["green_weight"], first["weight_unit"]) == (Decimal(9), "lb")
    assert (first["wet_area"], first["area_unit"]) == (Decimal(10), "sq_ft")


def test_a_weight_in_square_feet_is_refused() -> None:
    with pytest.raises(Refused, match="sq ft does not measure weight") as refused:
        factories.skin("H01", weight_unit="sq_ft")
    assert refused.value.field == "weight_unit"
