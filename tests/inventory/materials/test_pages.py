"""The shelf's pages: list, one material, describing, opening stock, weighing a cup, counting, taking out."""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from inventory.base.accounting import services as workshop
from inventory.models import Kind, Material, Posting
from tests import factories
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
TODAY = date(2025, 12, 31)
NEW = {"code": "SALT", "name": "Salt, fine", "unit": "kg", "request_key": "k1"}


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=TODAY)


@pytest.mark.parametrize("name", ["shelf", "material_new"])
def test_pages_without_a_material_open_for_the_owner(client: Client, name: str) -> None:
    assert client.get(reverse(name)).status_code == 200


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    "name", ["material", "material_edit", "material_open", "material_weigh", "count_new", "stock_out"]
)
def test_pages_of_a_material_open_for_the_owner(client: Client, name: str) -> None:
    factories.material("ALUMK", on_hand="0.6", value="2.70")
    address = reverse(name, args=["ALUMK"])
    assert client.get(address).status_code == 200
    assert client.get(reverse(name, args=["NONE"])).status_code == 404


def test_an_empty_shelf_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("shelf")))
    assert "The shelf is empty" in page
    assert reverse("material_new") in page


def test_the_shelf_shows_quantity_unit_cost_value_and_the_total_of_all_pages(client: Client) -> None:
    factories.material("ALUMK", on_hand="0.6", value="2.70")
    for number in range(30):
        factories.material(f"X{number:02d}", on_hand=1, value="1.00")
    page = text(client.get(reverse("shelf")))
    assert "31 materials worth 32.70 €" in page
    assert "0.6 kg" in page
    assert "4.50 €/kg" in page
    assert "Next page" in page


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(("unit", "label"), [("lb", "lb"), ("oz", "oz"), ("us_gallon", "US gal")])
def test_twelve_tens_less_ten_are_a_hundred_and_ten_in_any_system(client: Client, unit: str, label: str) -> None:
    """Pounds were 110.000016 lb while the shelf was counted in grams."""
    salt = factories.material("SALT", unit)
    for _ in range(12):
        factories.receive(salt, 10, 5)
    for _ in range(10):
        factories.take(salt, 1)
    for address in (reverse("shelf"), reverse("material", args=["SALT"])):
        page = text(client.get(address))
        assert f"110 {label}" in page
        assert "110.0" not in page
        assert "109.9" not in page


def test_the_shelf_is_narrowed_by_words_and_place_and_the_total_follows(client: Client) -> None:
    here = factories.place("By the door")
    factories.material("ALUMK", on_hand=1, value="4.00", place=here)
    factories.material("SALT", on_hand=1, value="1.00")
    assert "1 material worth 4.00 €" in text(client.get(reverse("shelf"), {"words": "alum"}))
    assert "1 material worth 4.00 €" in text(client.get(reverse("shelf"), {"place": here.pk}))
    assert "No material matches" in text(client.get(reverse("shelf"), {"words": "glue"}))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("asked", ["page=0", "page=-3", "page=x", "page=99", "per_page=0", "sort=nothing", "place=x"])
def test_a_nonsensical_address_still_shows_the_shelf(client: Client, asked: str) -> None:
    factories.material("ALUMK")
    assert "Material ALUMK" in text(client.get(f"{reverse('shelf')}?{asked}"))


def test_the_shelf_says_what_must_be_ordered_by_own_use(client: Client) -> None:
    alum = factories.material("ALUMK", on_hand=1, value="5.00", on=date(2025, 1, 1), lead_days=9, safety_days=3)
    for day in (1, 11, 21):
        factories.take(alum, "0.33", on=date(2025, 12, day))
    page = text(client.get(reverse("shelf")))
    assert "Order now" in page
    assert "1 % of this year's highest stock" in page


def test_a_phone_reads_until_when_beside_how_much(client: Client) -> None:
    alum = factories.material("ALUMK", on_hand=1, value="5.00", on=date(2025, 1, 1))
    for day in (1, 11):
        factories.take(alum, "0.25", on=date(2025, 12, day))
    page = text(client.get(reverse("shelf")))
    assert re.search(r'0\.5 kg\s*<span class="near dim">to \d+ \w+ 2\d{3}</span>', page)


def test_a_material_answers_first_with_what_to_do_and_one_button(client: Client) -> None:
    alum = factories.material(
        "ALUMK", on_hand=1, value="5.00", on=date(2025, 1, 1), lead_days=9, pack_quantity=Decimal(2)
    )
    for day in (1, 11, 21):
        factories.take(alum, "0.33", on=date(2025, 12, day))
    page = text(client.get(reverse("material", args=["ALUMK"])))
    main = page[page.index("<main") : page.index("</main>")]
    assert main.index('class="answer late"') < main.index("How long it lasts") < main.index("On the shelf")
    assert "Order one 2 kg pack today" in main
    assert re.findall(r'<a class="btn"', main) == ['<a class="btn"']
    assert main.count('class="btn quiet"') == 2


def test_a_material_says_what_waiting_costs_and_what_ordering_goes_by(client: Client) -> None:
    alum = factories.material(
        "ALUMK", on_hand=1, value="5.00", on=date(2025, 1, 1), lead_days=9, pack_quantity=Decimal(2)
    )
    for month in (9, 10, 11, 12):
        factories.take(alum, "0.2", on=date(2025, month, 1))
    page = text(client.get(reverse("material", args=["ALUMK"])))
    assert re.search(r"Waiting a week (leaves|raises) the chance of running short", page)
    assert "Usual use" in page
    assert page.count('role="img"') == 2
    assert "The figures behind it" in page


def test_a_material_that_nothing_takes_says_so_and_draws_nothing(client: Client) -> None:
    factories.material("LIME")
    page = text(client.get(reverse("material", args=["LIME"])))
    assert "Nothing is there, nothing is planned, and no delivery can be counted on." in page
    assert "Waiting a week" not in page
    assert 'role="img"' not in page


@pytest.mark.thorough
def test_the_shelf_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    factories.material("M", on_hand=1, value="1.00", place=factories.place())
    one = queries(client, reverse("shelf"))
    for number in range(29):
        factories.material(f"M{number}", on_hand=1, value="1.00", place=factories.place())
    assert queries(client, reverse("shelf")) == one


@pytest.mark.thorough
def test_the_history_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    salt = factories.material("SALT", on_hand=100, value="40.00")
    one = queries(client, reverse("material", args=["SALT"]))
    for _ in range(10):
        factories.take(salt, 1)
        factories.delivery(factories.line(salt))
        factories.take(salt, 1, kind=Kind.SPOILED)
    assert salt.movements.count() > 30
    assert queries(client, reverse("material", args=["SALT"])) == one


def test_a_material_shows_its_substance_lots_and_history(client: Client) -> None:
    alum = factories.material("ALUMK", substance="potash_alum", shelf_life_days=10, hazard_note="Gloves.")
    brought = factories.delivery(factories.line(alum), on=date(2025, 12, 1))
    page = text(client.get(reverse("material", args=["ALUMK"])))
    assert "KAl(SO4)2·12H2O" in page
    assert "2.108 mol a kg" in page
    assert "Gloves." in page
    assert "check the supplier's safety data sheet" in page
    assert "past" in page
    assert "11 Dec 2025" in page
    assert reverse("posting", args=[brought.posting_id]) in page
    assert reverse("delivery", args=[brought.pk]) in page


@pytest.mark.parametrize("code", ["OIL/2", "new", "finish"])
def test_a_code_with_a_slash_or_a_reserved_word_has_its_page(client: Client, code: str) -> None:
    factories.material(code)
    assert f"Material {code}" in text(client.get(reverse("material", args=[code])))
    assert client.get(reverse("count_new", args=[code])).status_code == 200
    assert reverse("material", args=[code]) in text(client.get(reverse("shelf")))


def test_a_new_material_is_entered_once_though_sent_twice(client: Client) -> None:
    first = client.post(reverse("material_new"), {**NEW, "supplier": "Utuharju Chemicals", "lead_days": "9"})
    again = client.post(reverse("material_new"), {**NEW, "supplier": "Utuharju Chemicals", "lead_days": "9"})
    assert first["location"] == again["location"] == reverse("material", args=["SALT"])
    salt = Material.objects.get()
    assert (salt.base, salt.lead_days, salt.supplier and salt.supplier.name) == ("g", 9, "Utuharju Chemicals")


def test_a_taken_code_is_refused_beside_its_box_and_leaves_nothing_behind(client: Client) -> None:
    factories.material("SALT")
    answer = client.post(reverse("material_new"), {**NEW, "code": "salt", "supplier": "Somebody new"})
    assert "The code salt is used already" in answer.context["form"].errors["code"][0]
    assert Material.objects.count() == 1
    assert not Material.objects.filter(supplier__name="Somebody new").exists()
    assert "Somebody new" not in text(client.get(reverse("suppliers")))


def test_describing_a_material_keeps_its_density_and_stock(client: Client) -> None:
    factories.material("SALT", on_hand=2, value="1.00", density_g_per_ml=Decimal("1.2"), pack_quantity=Decimal(25))
    page = client.get(reverse("material_edit", args=["SALT"]))
    sent = {name: value or "" for name, value in page.context["form"].initial.items()}
    answer = client.post(
        reverse("material_edit", args=["SALT"]),
        {**sent, "name": "Salt", "unit": "g", "pack_quantity": "25000", "request_key": "k"},
    )
    salt = Material.objects.get()
    assert answer.status_code == 302
    assert (salt.name, salt.unit, salt.on_hand, salt.pack_quantity) == ("Salt", "g", Decimal(2000), Decimal(25000))
    assert salt.density_g_per_ml == Decimal("1.2")


def test_a_unit_of_another_kind_is_refused_once_something_moved(client: Client) -> None:
    factories.material("SALT", on_hand=2, value="1.00")
    answer = client.post(reverse("material_edit", args=["SALT"]), {"name": "Salt", "unit": "L", "request_key": "k"})
    assert "cannot become mL" in answer.context["form"].errors["unit"][0]
    assert Material.objects.get().unit == "kg"


def test_opening_stock_is_posted_once_with_a_comma_for_the_point(client: Client) -> None:
    factories.material("SALT")
    sent = {"on": "2025-01-01", "quantity": "12,5", "unit": "kg", "value": "5,40", "request_key": "k"}
    for _ in range(2):
        assert client.post(reverse("material_open", args=["SALT"]), sent).status_code == 302
    salt = Material.objects.get()
    assert (salt.on_hand, salt.value) == (Decimal(12500), Decimal("5.40"))
    assert Posting.objects.get().kind == Kind.OPENING


def test_a_value_finer_than_a_coin_is_refused_beside_its_box(client: Client) -> None:
    factories.material("SALT")
    sent = {"on": "2025-01-01", "quantity": "1", "unit": "kg", "value": "5.4050", "request_key": "k"}
    answer = client.post(reverse("material_open", args=["SALT"]), sent)
    assert "more than 2 decimals" in answer.context["form"].errors["value"][0]
    assert not Posting.objects.exists()


def test_a_weighed_cup_becomes_the_density_and_offers_cups_afterwards(client: Client) -> None:
    factories.material("FLOUR")
    before = client.get(reverse("count_new", args=["FLOUR"]))
    assert "us_cup" not in before.content.decode()
    # 120 g in a US cup of 236.588 mL: 120 / 236.5882365 = 0.507 g/mL
    sent = {"measure": "1", "unit": "us_cup", "grams": "120", "request_key": "k"}
    assert client.post(reverse("material_weigh", args=["FLOUR"]), sent).status_code == 302
    assert Material.objects.get().density_g_per_ml == Decimal("0.507")
    assert "us_cup" in client.get(reverse("count_new", args=["FLOUR"])).content.decode()


def test_of_a_solution_the_grams_dissolved_in_it_are_asked(client: Client) -> None:
    factories.material("ALLIQ", "L", substance="potash_alum")
    factories.material("ALUMK", substance="potash_alum")
    asked = "enter the grams of potash alum dissolved in so much of it, not what the liquid weighs"
    assert asked in text(client.get(reverse("material_weigh", args=["ALLIQ"])))
    assert asked not in text(client.get(reverse("material_weigh", args=["ALUMK"])))


@pytest.mark.parametrize(("grams", "field"), [("0", "grams"), ("-1", "grams"), ("9000", "grams"), ("0.01", "grams")])
def test_a_weight_that_cannot_be_is_refused(client: Client, grams: str, field: str) -> None:
    factories.material("FLOUR")
    answer = client.post(
        reverse("material_weigh", args=["FLOUR"]),
        {"measure": "1", "unit": "us_cup", "grams": grams, "request_key": "k"},
    )
    assert field in answer.context["form"].errors
    assert Material.objects.get().density_g_per_ml is None


def test_what_is_counted_by_the_piece_has_no_density(client: Client) -> None:
    factories.material("TAG", unit="piece")
    answer = client.post(
        reverse("material_weigh", args=["TAG"]), {"measure": "1", "unit": "us_cup", "grams": "5", "request_key": "k"}
    )
    assert "kept in pc" in answer.context["form"].errors["unit"][0]


@pytest.mark.thorough
def test_a_count_is_typed_blind_and_says_the_difference_with_its_value(client: Client) -> None:
    factories.material("SALT", on_hand=10, value="5.00")
    assert "10 kg" not in text(client.get(reverse("count_new", args=["SALT"])))
    sent = {"on": "2025-12-31", "counted": "6", "unit": "kg", "request_key": "k"}
    answer = client.post(reverse("count_new", args=["SALT"]), sent, follow=True)
    assert "4 kg less than in the books, worth 2.00 €" in text(answer)
    again = client.post(reverse("count_new", args=["SALT"]), {**sent, "counted": "6"}, follow=True)
    assert "4 kg less" in text(again)
    assert Material.objects.get().on_hand == Decimal(6000)
    assert Posting.objects.filter(kind=Kind.COUNT).count() == 1


@pytest.mark.thorough
def test_a_count_that_agrees_says_so_as_often_as_it_is_sent_and_writes_nothing(client: Client) -> None:
    factories.material("SALT", on_hand=10, value="5.00")
    for _ in range(2):
        answer = client.post(
            reverse("count_new", args=["SALT"]),
            {"on": "2025-12-31", "counted": "10000", "unit": "g", "request_key": "k"},
            follow=True,
        )
        assert "the stocktake agrees with the books" in text(answer)
    assert Posting.objects.count() == 1


def test_a_count_below_nothing_is_refused_beside_its_box(client: Client) -> None:
    factories.material("SALT", on_hand=10, value="5.00")
    sent = {"on": "2025-12-31", "counted": "-1", "unit": "kg", "request_key": "k"}
    answer = client.post(reverse("count_new", args=["SALT"]), sent)
    assert "cannot be negative" in answer.context["form"].errors["counted"][0]
    assert Posting.objects.count() == 1


def test_stock_taken_out_is_posted_once_with_its_reason(client: Client) -> None:
    factories.material("OILN", unit="L", on_hand="0.5", value="6.75")
    sent = {
        "kind": "spoiled",
        "quantity": "0.1",
        "unit": "L",
        "on": "2025-12-31",
        "reason": "rancid",
        "request_key": "k",
    }
    for _ in range(2):
        answer = client.post(reverse("stock_out", args=["OILN"]), sent, follow=True)
    assert "0.1 L of Material OILN, worth 1.35 €, left the shelf: spoiled." in text(answer)
    gone = Posting.objects.get(kind=Kind.SPOILED)
    assert (gone.reason, gone.movements.get().value) == ("rancid", Decimal("-1.35"))


def test_what_leaves_is_shown_with_its_value_before_anything_is_posted(client: Client) -> None:
    factories.material("OILN", unit="L", on_hand="0.5", value="6.75")
    asked = {"kind": "own_use", "unit": "L", "on": "2025-12-31", "reason": "boots", "request_key": "k", "worth": "1"}
    address = reverse("stock_out", args=["OILN"])
    shown = text(client.post(address, asked | {"quantity": "0.1"}))
    assert "0.1 L would leave the shelf with 1.35 €; 0.4 L would remain" in shown
    assert "more than the 0.5 L on the shelf" in text(client.post(address, asked | {"quantity": "2"}))
    assert "quantity" in client.post(address, asked | {"quantity": "0"}).context["form"].errors
    assert Posting.objects.count() == 1


@pytest.mark.parametrize("kind", ["spoiled", "own_use", "given", "other"])
def test_what_goes_into_no_piece_and_no_sale_needs_a_reason(client: Client, kind: str) -> None:
    factories.material("SALT", on_hand=1, value="1.00")
    sent = {"kind": kind, "quantity": "1", "unit": "kg", "on": "2025-12-31", "request_key": "k"}
    assert "Say why" in client.post(reverse("stock_out", args=["SALT"]), sent).context["form"].errors["reason"][0]
    assert Posting.objects.count() == 1


def test_more_than_is_there_is_refused_with_the_ways_out(client: Client) -> None:
    factories.material("OILN", unit="L", on_hand="0.5", value="6.75")
    sent = {"kind": "own_use", "quantity": "2", "unit": "L", "on": "2025-12-31", "reason": "boots", "request_key": "k"}
    answer = client.post(reverse("stock_out", args=["OILN"]), sent)
    refusal = answer.context["form"].errors["quantity"][0]
    assert "2 L of Material OILN wanted, 0.5 L on the shelf" in refusal
    assert "count the shelf" in refusal
    assert not Posting.objects.filter(kind=Kind.OWN_USE).exists()


def test_a_cup_of_what_was_never_weighed_is_not_offered_and_not_taken(client: Client) -> None:
    factories.material("SALT", on_hand=1, value="1.00")
    sent = {"kind": "given", "quantity": "1", "unit": "us_cup", "on": "2025-12-31", "request_key": "k"}
    assert "unit" in client.post(reverse("stock_out", args=["SALT"]), sent).context["form"].errors
    assert Posting.objects.count() == 1


def test_a_closed_day_is_refused_beside_the_date(client: Client) -> None:
    factories.material("SALT", on_hand=1, value="1.00")
    workshop.close_books(to=date(2025, 11, 30))
    sent = {"kind": "given", "quantity": "1", "unit": "kg", "on": "2025-11-30", "reason": "to Aino", "request_key": "k"}
    answer = client.post(reverse("stock_out", args=["SALT"]), sent)
    assert "closed to 2025-11-30" in answer.context["form"].errors["on"][0]


def test_a_remark_that_a_spreadsheet_would_run_is_refused(client: Client) -> None:
    factories.material("SALT", on_hand=1, value="1.00")
    sent = {"kind": "given", "quantity": "1", "unit": "kg", "on": "2025-12-31", "reason": "a\x07", "request_key": "k"}
    assert "reason" in client.post(reverse("stock_out", args=["SALT"]), sent).context["form"].errors


def test_a_bookkeeper_sees_no_button_that_would_be_refused_and_is_refused() -> None:
    factories.material("SALT", on_hand=1, value="1.00")
    client = signed_in(factories.person("bookkeeper"))
    assert reverse("stock_out", args=["SALT"]) not in text(client.get(reverse("material", args=["SALT"])))
    sent = {"kind": "given", "quantity": "1", "unit": "kg", "on": "2025-12-31", "reason": "to Aino", "request_key": "k"}
    assert client.post(reverse("stock_out", args=["SALT"]), sent).status_code == 403
    assert Posting.objects.count() == 1


def test_a_cup_is_weighed_in_ounces_where_the_shelf_is_in_pounds(client: Client) -> None:
    factories.material("SALT", "lb")
    address = reverse("material_weigh", args=["SALT"])
    assert client.get(address).context["form"].initial["scale"] == "oz"
    client.post(address, {"measure": "1", "unit": "us_cup", "grams": "10.3", "scale": "oz", "request_key": "k"})
    assert Material.objects.get().density_g_per_ml == Decimal("1.234")
    assert "a level US cup is 10.3 oz" in text(client.get(reverse("material", args=["SALT"])))


def test_a_unit_of_another_system_is_refused_once_something_moved(client: Client) -> None:
    """Pounds counted in ounces cannot become grams without a rounding in every entry."""
    factories.material("SALT", "lb", on_hand=10, value=5)
    sent = {"name": "Salt", "unit": "kg", "lead_days": "0", "safety_days": "0", "request_key": "k"}
    answer = client.post(reverse("material_edit", args=["SALT"]), sent)
    assert "kept in oz" in str(answer.context["form"].errors["unit"])
    client.post(reverse("material_edit", args=["SALT"]), {**sent, "unit": "oz", "request_key": "k2"})
    assert Material.objects.get().unit == "oz"


def test_how_a_material_is_bought_is_entered_shown_and_edited(client: Client) -> None:
    factories.material("SALT")
    address = reverse("material_edit", args=["SALT"])
    sent = {"name": "Salt", "unit": "kg", "request_key": "k", "min_order": "50", "breaks_on": "further"}
    assert client.post(address, sent | {"price_breaks": "4 11,5; 10  10.20"}).status_code == 302
    salt = Material.objects.get()
    assert (salt.min_order, salt.price_breaks, salt.breaks_on) == (Decimal(50000), "4 11.50; 10 10.20", "further")
    page = text(client.get(reverse("material", args=["SALT"])))
    assert "<dt>Minimum order</dt><dd>50 kg</dd>" in page
    assert "from 4 packs 11.50 € a pack, from 10 packs 10.20 €; for the packs beyond the break" in page
    form = client.get(address).content.decode()
    assert 'value="50"' in form
    assert 'value="4 11.5; 10 10.2"' in form


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"price_breaks": "10 5.80; 5 6.20"}, "price_breaks", "Begin with the fewest packs"),
        ({"price_breaks": "5 six"}, "price_breaks", "six"),
        ({"min_order": "0"}, "min_order", "must be more than nothing"),
        ({"breaks_on": "some"}, "breaks_on", "not one of the available choices"),
    ],
)
def test_what_nobody_sells_by_is_refused_beside_its_box(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    factories.material("SALT")
    sent = {"name": "Salt", "unit": "kg", "request_key": "k", "pack_quantity": "25"}
    answer = client.post(reverse("material_edit", args=["SALT"]), sent | wrong)
    assert said in answer.context["form"].errors[field][0]
    assert not Material.objects.get().pack_quantity


@pytest.mark.thorough
def test_price_breaks_are_typed_as_the_workshop_writes_figures(client: Client) -> None:
    workshop.set_up(name="Here", locale="de-DE")
    factories.material("SALT")
    address = reverse("material_edit", args=["SALT"])
    sent = {"name": "Salt", "unit": "kg", "request_key": "k", "price_breaks": "5 1.250,50; 10 800"}
    refused = client.post(address, sent | {"name": ""})
    assert 'value="5 1.250,50; 10 800"' in refused.content.decode()
    client.post(address, sent)
    assert Material.objects.get().price_breaks == "5 1250.50; 10 800.00"
    assert 'value="5 1250,5; 10 800"' in client.get(address).content.decode()
