"""Putting a bath in work at the tub: cards in their order, and the ways out when the shelf or the tub is too small."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from costing.make.batches.requirements import selectors as read
from costing.make.batches.stays import selectors as stays_selectors, services as batches
from costing.make.baths.pours.forms import Card
from costing.make.recipes import services as recipes
from costing.models import Batch, PlannedAmount, Use
from inventory.base.accounting import services as workshop
from inventory.models import Material, Movement, Place
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import lines, queries, signed_in, text

pytestmark = pytest.mark.django_db
HERE = "/batches/B1/put-in-work/"


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))


@pytest.fixture(autouse=True)
def bath() -> Batch:
    """18 L of alum, salt and soda, later oil; alum for 7 L only, and another alum and another soda beside it."""
    alum = factories.material("ALUMK", on_hand="0.56", value="3.67", name="Potash alum", substance="potash_alum")
    salt = factories.material("SALT", on_hand=12, value="5.40", name="Salt", substance="salt")
    soda = factories.material("SODA", on_hand=2, value="5.00", name="Soda crystals", substance="washing_soda_crystals")
    oil = factories.material("OILN", "L", on_hand=1, value="12.00", name="Oil")
    factories.material("ALSUL", on_hand=1, value="4.00", name="Sulphate", substance="aluminium_sulphate_14")
    factories.skin("H01")
    version = factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre", how="bath"),
        recipes.Line(salt, Decimal(40), "g", "per_litre", how="bath"),
        recipes.Line(soda, Decimal(20), "g", "per_litre", how="bath, slowly"),
        recipes.Line(oil, Decimal(80), "mL", "per_skin", how="oil", day=12),
        litres_per_skin=Decimal(6),
    )
    return factories.batch("B1", version=version, litres=Decimal(18), tags=["H01"])


def pk(code: str) -> int:
    return Batch.objects.get().version.lines.get(material__code=code).pk


def cards(answer: HttpResponse) -> dict[str, Card]:
    return {card.form.wanted.material.code: card for card in [*answer.context["cards"], *answer.context["later"]]}


def boxes(client: Client, address: str = HERE, **more: Any) -> dict[str, Any]:
    """What a browser would send of the page as it stands, nothing touched."""
    answer = client.get(address)
    sent: dict[str, Any] = {"request_key": "k1"} | lines({})
    for line in answer.context["line_forms"]:
        for field in line:
            value = line.fields[field.name].prepare_value(field.value())
            sent[field.html_name] = "" if value is None else value
    for name in ("on", "reason", "litres", "day"):
        value = answer.context["form"][name].value()
        sent[name] = "" if value is None else str(value)
    return sent | more


def take(client: Client, way: str, address: str = HERE, **more: Any) -> str:
    """The address that a way out leads to."""
    answer = client.post(address, boxes(client, address, way=way, **more))
    assert answer.status_code == 302
    assert not Use.objects.exists()
    return str(answer["location"])


def put(client: Client, address: str, **more: Any) -> HttpResponse:
    return client.post(address, boxes(client, address, **more))


def moved() -> list[tuple[str, Decimal]]:
    return list(Movement.objects.filter(kind="use").order_by("pk").values_list("material__code", "quantity"))


def test_the_cards_of_the_bath_stand_in_the_order_of_adding_and_later_ones_wait_empty(client: Client) -> None:
    answer = client.get(HERE)
    assert [card.form.wanted.material.code for card in answer.context["cards"]] == ["ALUMK", "SALT", "SODA"]
    assert [card.form.wanted.material.code for card in answer.context["later"]] == ["OILN"]
    assert cards(answer)["OILN"].form["amount"].value() is None
    assert 'href="?day=12"' in text(answer)


def test_another_day_of_the_recipe_is_put_in_when_it_is_asked_for(client: Client) -> None:
    answer = client.get(HERE, {"day": "12"})
    assert [card.form.wanted.material.code for card in answer.context["cards"]] == ["OILN"]
    put(client, f"{HERE}?day=12")
    assert moved() == [("OILN", Decimal(-80))]


def test_what_is_in_already_makes_the_next_day_of_the_recipe_the_one_poured_now(client: Client, bath: Batch) -> None:
    for code, amount in (("ALUMK", "0.5"), ("SALT", "0.72"), ("SODA", "0.36")):
        factories.put(bath, Material.objects.get(code=code), amount)
    assert [card.form.wanted.material.code for card in client.get(HERE).context["cards"]] == ["OILN"]


@pytest.mark.thorough
def test_what_is_due_on_a_later_day_does_not_stand_ready_today(client: Client, bath: Batch) -> None:
    """Oil is for the twelfth day: a tap in the bath must not take it."""
    for code, amount in (("ALUMK", "0.5"), ("SALT", "0.72"), ("SODA", "0.36")):
        factories.put(bath, Material.objects.get(code=code), amount)
    workshop.pin_today(on=DAY + timedelta(days=3))
    answer = client.get(HERE)
    assert answer.context["cards"] == []
    assert cards(answer)["OILN"].form["amount"].value() is None
    assert "the next is due on Sun 16 March" in text(answer)
    assert "Day 12 now" in text(answer)


@pytest.mark.thorough
def test_a_crowd_of_skins_is_folded_so_that_the_button_stays_near(client: Client, bath: Batch) -> None:
    assert "Only for some of its" not in text(client.get(HERE))
    tags = [f"L{nth:02}" for nth in range(7)]
    for tag in tags:
        factories.skin(tag)
    batches.join(batch=bath, tags=tags, on=date(2025, 3, 30))
    assert "<details><summary>Only for some of its 8 skins</summary>" in text(client.get(HERE))
    assert "<details open><summary>Only for some" in text(client.get(HERE, {"skins": "L03"}))


@pytest.mark.thorough
def test_cautions_stand_beside_the_line_that_needs_them(client: Client) -> None:
    found = cards(client.get(HERE))
    assert "Never close the vessel" in found["SODA"].care
    assert found["SALT"].care == ""
    page = text(client.get(HERE))
    assert page.index("Soda crystals</h2>") < page.index("Never close the vessel") < page.index("Added on")


@pytest.mark.thorough
def test_a_short_line_says_what_is_missing_and_the_ways_out(client: Client) -> None:
    answer = client.get(HERE)
    assert cards(answer)["ALUMK"].short == Decimal(880)
    assert not cards(answer)["SALT"].short
    page = text(answer)
    assert "0.56 kg on the shelf; 0.88 kg missing" in page
    assert "Use Sulphate instead (0.902 kg)" in page
    assert "Make 7 L" in page
    assert "Record a delivery" in page
    assert "Leave Potash alum out" in page
    assert "Leave Salt out" not in page


def liquor(strength: str | None = "0.200") -> Material:
    density = None if strength is None else Decimal(strength)
    more = {"name": "Alum liquor", "substance": "aluminium_sulphate_14", "density_g_per_ml": density}
    return factories.material("ALLIQ", "L", on_hand=10, value="8.00", **more)


@pytest.mark.thorough
def test_a_solution_of_known_strength_goes_in_instead_and_the_line_asks_no_more(client: Client) -> None:
    other = liquor()
    page = text(client.get(HERE))
    assert "Use Alum liquor instead (4.51 L)" in page
    address = take(client, f"use:{pk('ALUMK')}-{other.pk}")
    card = cards(client.get(address))["ALUMK"]
    assert (card.form.goes_in, card.form.planned, card.short) == (other, Decimal("4510.4"), Decimal(0))
    assert put(client, address).status_code == 302
    assert moved()[0] == ("ALLIQ", Decimal("-4510.4"))
    row = read.amounts(stays_selectors.detailed().get())[0]
    assert (row.left, row.instead) == (Decimal(0), ("Alum liquor",))


@pytest.mark.thorough
def test_a_solution_of_unknown_strength_is_not_offered_but_says_what_to_record(client: Client) -> None:
    liquor(None)
    page = text(client.get(HERE))
    assert "Use Alum liquor instead" not in page
    assert "Alum liquor is of its kind, but how much of its substance it holds is not recorded" in page
    assert reverse("material_weigh", args=["ALLIQ"]) in page


def test_a_line_by_volume_without_a_density_says_that_it_cannot_be_reckoned_against_another(client: Client) -> None:
    liquor(None)
    version = factories.recipe(
        "R2", recipes.Line(Material.objects.get(code="ALLIQ"), Decimal(1), "L", "per_litre", how="bath")
    )
    factories.batch("B2", version=version, litres=Decimal(18))
    page = text(client.get("/batches/B2/put-in-work/"))
    assert "Use Potash alum instead" not in page
    assert "Alum liquor is of its kind" in page


def test_another_alum_goes_in_instead_and_is_posted_once_as_planned(client: Client) -> None:
    line, other = pk("ALUMK"), Material.objects.get(code="ALSUL")
    address = take(client, f"use:{line}-{other.pk}")
    answer = client.get(address)
    card = cards(answer)["ALUMK"]
    assert (card.form.goes_in, card.form.planned, card.short) == (other, Decimal("902.1"), Decimal(0))
    assert "Equal metal is not equal tanning" in text(answer)
    assert "Use Potash alum after all" in text(answer)
    form = boxes(client, address)
    for _ in range(2):
        assert client.post(address, form)["location"] == reverse("batch", args=["B1"])
    assert moved() == [("ALSUL", Decimal("-902.1")), ("SALT", Decimal(-720)), ("SODA", Decimal(-360))]
    assert PlannedAmount.objects.get(movement__material=other).quantity == Decimal("902.1")
    left = {row.material.code: row.left for row in read.amounts(stays_selectors.detailed().get())}
    assert left["ALUMK"] == Decimal(0)


@pytest.mark.thorough
def test_the_recipes_own_comes_back_after_all(client: Client) -> None:
    line, other = pk("ALUMK"), Material.objects.get(code="ALSUL")
    there = take(client, f"use:{line}-{other.pk}")
    back = take(client, f"own:{line}", there)
    assert cards(client.get(back))["ALUMK"].form.goes_in.code == "ALUMK"


@pytest.mark.thorough
def test_what_the_shelf_has_too_little_of_is_not_offered_instead(client: Client) -> None:
    factories.material("ALNH4", on_hand="0.1", name="Ammonium alum", substance="ammonium_alum")
    page = text(client.get(HERE))
    assert "Use Ammonium alum" not in page
    assert "Use Sulphate" in page


@pytest.mark.thorough
def test_a_forged_stand_in_of_another_kind_writes_nothing(client: Client) -> None:
    salt = Material.objects.get(code="SALT")
    answer = put(client, HERE, **{f"line-{pk('ALUMK')}-instead": str(salt.pk), f"line-{pk('ALUMK')}-amount": "0.1"})
    assert "What was to go in instead is of another kind" in text(answer)
    assert not Use.objects.exists()


@pytest.mark.thorough
def test_a_smaller_bath_rescales_every_line_and_is_the_batchs_from_then_on(client: Client, bath: Batch) -> None:
    address = take(client, "litres:7")
    answer = client.get(address)
    assert [card.form.planned for card in answer.context["cards"]] == [Decimal(560), Decimal(280), Decimal(140)]
    assert "7 L instead of 18 L" in text(answer)
    assert answer.context["smaller"] is None
    form = boxes(client, address)
    for _ in range(2):
        assert client.post(address, form).status_code == 302
    bath.refresh_from_db()
    assert bath.litres == Decimal(7000)
    assert moved() == [("ALUMK", Decimal(-560)), ("SALT", Decimal(-280)), ("SODA", Decimal(-140))]


@pytest.mark.thorough
def test_looking_at_a_smaller_bath_changes_no_batch(client: Client, bath: Batch) -> None:
    client.get(take(client, "litres:7"))
    bath.refresh_from_db()
    assert bath.litres == Decimal(18000)


@pytest.mark.thorough
def test_a_smaller_bath_counts_what_stands_in(client: Client) -> None:
    """1 kg of sulphate is as much as 1,596 g of potash alum: enough for 18 L, and for 19.9 L of 24."""
    Batch.objects.update(litres=24000)
    address = take(client, f"use:{pk('ALUMK')}-{Material.objects.get(code='ALSUL').pk}")
    smaller = client.get(address).context["smaller"]
    assert (smaller.litres, smaller.limited_by) == (Decimal("19.9"), "Sulphate")


@pytest.mark.thorough
def test_a_line_is_left_out(client: Client) -> None:
    address = take(client, f"leave:{pk('ALUMK')}")
    answer = client.get(address)
    assert not cards(answer)["ALUMK"].short
    put(client, address)
    assert [code for code, _ in moved()] == ["SALT", "SODA"]


@pytest.mark.thorough
def test_a_delivery_is_recorded_on_the_way_and_what_was_typed_stays(client: Client) -> None:
    alum = Material.objects.get(code="ALUMK")
    typed = {f"line-{pk('SALT')}-amount": "0,7", "reason": "cold morning", "on": "2025-03-30"}
    glove = factories.material("GLOVE", "piece", on_hand=20)
    address = take(client, "deliver:ALUMK", **typed, **lines({"material": glove.pk, "amount": "2"}))
    asked = parse_qs(urlsplit(address).query)
    assert urlsplit(address).path == reverse("delivery_new")
    assert asked["material"] == ["ALUMK"]
    row = {"material": alum.pk, "packs": "1", "pack_quantity": "2", "unit": "kg", "pack_price": "11.60"}
    form = {"supplier": "U", "on": "2025-03-20", "request_key": "d"} | lines(row)
    back = client.post(address, form)["location"]
    assert back.startswith(HERE)
    answer = client.get(back)
    assert answer.context["form"]["reason"].value() == "cold morning"
    assert answer.context["form"]["on"].value() == "2025-03-30"
    assert cards(answer)["SALT"].form["amount"].value() == "0,7"
    assert answer.context["rows"].forms[0]["amount"].value() == "2"
    assert not cards(answer)["ALUMK"].short
    put(client, back)
    assert dict(moved())["SALT"] == Decimal(-700)


def test_no_secret_of_the_form_stands_in_the_address(client: Client) -> None:
    address = take(client, "litres:7", csrfmiddlewaretoken="s" * 32)
    assert "csrf" not in address
    assert "request_key" not in address


@pytest.mark.thorough
def test_an_unknown_way_only_shows_the_page_again(client: Client) -> None:
    assert client.get(take(client, "dance:9")).status_code == 200


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("litres", ["0", "-3", "much", "NaN", "1e30"])
def test_a_forged_size_in_the_address_is_the_planned_bath(client: Client, litres: str) -> None:
    answer = client.get(HERE, {"litres": litres})
    assert answer.context["litres"] == Decimal(18)


@pytest.mark.thorough
def test_a_refusal_after_sending_offers_the_same_ways_and_keeps_what_was_typed(client: Client) -> None:
    answer = put(client, HERE, reason="cold morning")
    page = text(answer)
    assert "1.44 kg of Potash alum wanted, 0.56 kg on the shelf" in page
    assert "Use Sulphate instead (0.902 kg)" in page
    assert "Make 7 L" in page
    assert 'value="cold morning"' in page
    assert not Use.objects.exists()
    assert Material.objects.get(code="SALT").on_hand == Decimal(12000)


def test_a_bath_larger_than_its_tub_is_said_at_once_refused_on_sending_and_made_smaller(
    client: Client, bath: Batch
) -> None:
    tub = factories.place("Tub", Place.Kind.TUB, litres=Decimal(8))
    Batch.objects.update(place=tub)
    answer = client.get(HERE)
    assert "A bath of 18 L with 9 L of room above it does not fit a vessel of 8 L" in text(answer)
    assert "Make 5.3 L" in text(answer)
    Material.objects.filter(code="ALUMK").update(on_hand=Decimal(5000))
    assert "does not fit a vessel of 8 L" in text(put(client, HERE))
    assert not Use.objects.exists()
    assert put(client, take(client, "litres:5.3")).status_code == 302
    bath.refresh_from_db()
    assert bath.litres == Decimal(5300)


@pytest.mark.thorough
def test_a_tub_too_small_for_the_bath_does_not_stand_in_the_way_of_oil(client: Client) -> None:
    Batch.objects.update(place=factories.place("Tub", Place.Kind.TUB, litres=Decimal(8)))
    assert "does not fit" not in text(client.get(HERE, {"day": "12"}))
    assert put(client, f"{HERE}?day=12").status_code == 302


@pytest.mark.thorough
def test_a_planned_amount_finer_than_the_box_is_offered_in_grams(client: Client) -> None:
    form = cards(client.get(HERE, {"litres": "4.5930"}))["SODA"].form
    assert (form["amount"].value(), form["unit"].value()) == ("91.86", "g")
    assert put(client, f"{HERE}?litres=4.5930").status_code == 302
    assert moved()[-1] == ("SODA", Decimal("-91.86"))


def test_a_page_that_was_kept_without_a_signal_is_written_once_and_answers_in_few_words(client: Client) -> None:
    address = take(client, "litres:7")
    form = boxes(client, address)
    answers = [client.post(address, form, headers={"X-Kept": "1"}) for _ in range(2)]
    assert [answer.json() for answer in answers] == [
        {"state": "written", "said": "Recorded on B1.", "next": reverse("batch", args=["B1"])}
    ] * 2
    assert Use.objects.count() == 1


@pytest.mark.thorough
def test_a_page_that_was_kept_and_is_short_meanwhile_says_why(client: Client) -> None:
    answer = client.post(HERE, boxes(client), headers={"X-Kept": "1"})
    assert answer.status_code == 422
    assert any("1.44 kg of Potash alum wanted" in error for error in answer.json()["errors"])
    assert not Use.objects.exists()


@pytest.mark.thorough
def test_the_page_can_wait_for_a_signal_but_its_ways_out_cannot(client: Client) -> None:
    page = text(client.get(HERE))
    assert 'data-keep data-words="Add to B1"' in page
    assert page.count('name="way"') == page.count('name="way" value="') > 0
    for button in page.split("<button")[1:]:
        if 'name="way"' in button or 'name="more"' in button:
            assert "data-plain" in button.split(">")[0]


@pytest.mark.thorough
def test_who_records_no_goods_is_not_sent_to_the_delivery(client: Client) -> None:
    assert "Record a delivery" in text(signed_in(factories.person("helper")).get(HERE))
    stranger = signed_in(factories.person("nobody"))
    assert "Record a delivery" not in text(stranger.get(HERE))


@pytest.mark.thorough
def test_the_page_takes_as_many_queries_for_many_lines_as_for_few(client: Client) -> None:
    few = queries(client, HERE)
    many = [
        recipes.Line(factories.material(f"M{number}", substance="soda_ash"), Decimal(10), "g", "per_litre")
        for number in range(12)
    ]
    factories.batch("B2", version=factories.recipe("R2", *many), litres=Decimal(18), tags=[factories.skin("H02").tag])
    assert queries(client, "/batches/B2/put-in-work/") == few


@pytest.mark.thorough
def test_what_is_in_already_is_told_in_the_recipes_own_measure(client: Client) -> None:
    salt = Material.objects.get(code="SALT")
    version = factories.recipe("R2", recipes.Line(salt, Decimal("0.25"), "lb", "per_litre", how="bath"))
    made = factories.batch("B2", version=version, litres=Decimal(10))
    factories.put(made, salt, "1.133981")
    page = text(client.get(reverse("put_in_work", args=["B2"])))
    assert "All 2.5 lb are in" in page
    assert "2.5 lb in already" in page
