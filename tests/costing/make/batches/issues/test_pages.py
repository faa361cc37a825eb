"""Pages that put materials in work, for a batch or straight on skins, and take them back."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.make.recipes import services as recipes
from costing.models import Batch, PlannedAmount, Use
from inventory.base.accounting import services as workshop
from inventory.models import Material, Movement, Posting
from tests import factories
from tests.factories import DAY
from tests.inventory.pages import lines, queries, text

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))


@pytest.fixture
def bath() -> Batch:
    """18 L at 80 g of alum and 40 g of salt a litre, one skin in it; 2.3 kg of alum and 12 kg of salt on the shelf."""
    alum = factories.material("ALUMK", on_hand="2.3", value="10.81", substance="potash_alum")
    salt = factories.material("SALT", on_hand="12", value="5.40")
    factories.skin("H01")
    version = factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre"),
        recipes.Line(salt, Decimal(40), "g", "per_litre"),
        litres_per_skin=Decimal(6),
    )
    return factories.batch("B1", version=version, litres=Decimal(18), tags=["H01"])


def sent(
    batch: Batch, *amounts: tuple[str, str], extra: list[dict[str, Any]] | None = None, **more: Any
) -> dict[str, Any]:
    """The page as a browser would send it: an amount and a unit for each recipe line, rows besides, the head."""
    fields: dict[str, Any] = {"on": "2025-03-10", "request_key": "k1"}
    for line, (amount, unit) in zip(batch.version.lines.all(), amounts, strict=True):
        fields |= {f"line-{line.pk}-amount": amount, f"line-{line.pk}-unit": unit}
    return fields | lines(*(extra or [{}])) | more


def on_hand(code: str) -> Decimal:
    return Material.objects.get(code=code).on_hand


def test_pages_open_for_the_owner(client: Client, bath: Batch) -> None:
    use = factories.put(bath, Material.objects.get(code="SALT"), 1)
    for name, arg in (("put_in_work", "B1"), ("use_on_skins", "H01"), ("use_reverse", use.pk)):
        address = reverse(name, args=[arg])
        assert client.get(address).status_code == 200


def test_each_line_opens_with_what_is_left_of_it(client: Client, bath: Batch) -> None:
    factories.put(bath, Material.objects.get(code="ALUMK"), "0.44")
    page = client.get(reverse("put_in_work", args=["B1"])).content.decode()
    assert 'value="1"' in page  # 1.44 planned, 0.44 in
    assert 'value="0.72"' in page


def test_the_bath_is_put_in_once_though_sent_twice(client: Client, bath: Batch) -> None:
    glove = factories.material("GLOVE", "piece", on_hand=40, value="4.40")
    form = sent(bath, ("1440", "g"), ("0,72", "kg"), extra=[{"material": glove.pk, "amount": "4"}, {}])
    for _ in range(2):
        assert client.post(reverse("put_in_work", args=["B1"]), form)["location"] == reverse("batch", args=["B1"])
    use = Use.objects.get()
    assert use.posting.on == date(2025, 3, 10)
    moved = use.posting.movements.order_by("pk").values_list("material__code", "quantity", "typed")
    assert list(moved) == [
        ("ALUMK", Decimal(-1440), "1440 g"),
        ("SALT", Decimal(-720), "0.72 kg"),
        ("GLOVE", Decimal(-4), "4 piece"),
    ]
    assert list(PlannedAmount.objects.order_by("pk").values_list("quantity", flat=True)) == [
        Decimal(1440),
        Decimal(720),
    ]
    bath.refresh_from_db()
    assert bath.state == Batch.State.IN_WORK


@pytest.mark.thorough
def test_an_empty_line_and_a_nought_are_not_put_in_now(client: Client, bath: Batch) -> None:
    client.post(reverse("put_in_work", args=["B1"]), sent(bath, ("0", "kg"), ("0.5", "kg")))
    assert Movement.objects.filter(kind="use").get().material.code == "SALT"
    client.post(reverse("put_in_work", args=["B1"]), sent(bath, ("", "kg"), ("0.1", "kg"), request_key="k2"))
    assert set(Movement.objects.filter(kind="use").values_list("material__code", flat=True)) == {"SALT"}


def test_nothing_at_all_is_refused(client: Client, bath: Batch) -> None:
    answer = client.post(reverse("put_in_work", args=["B1"]), sent(bath, ("", "kg"), ("", "kg")))
    assert "Nothing was entered" in text(answer)
    assert not Use.objects.exists()


def test_a_short_shelf_refuses_the_whole_and_offers_the_ways_out(client: Client, bath: Batch) -> None:
    answer = client.post(reverse("put_in_work", args=["B1"]), sent(bath, ("2.4", "kg"), ("0.72", "kg")))
    page = text(answer)
    assert "2.4 kg of Material ALUMK wanted, 2.3 kg on the shelf" in page
    assert "the shelf allows 28.7 L, 4 skins" in page
    forms = answer.context["line_forms"]
    assert forms[0].errors["amount"] == ["2.4 kg wanted, 2.3 kg on the shelf."]
    assert not forms[1].errors
    assert 'value="deliver:ALUMK"' in page
    assert reverse("count_new", args=["ALUMK"]) in page
    assert reverse("count_new", args=["SALT"]) not in page
    assert not Use.objects.exists()
    assert (on_hand("ALUMK"), on_hand("SALT")) == (Decimal(2300), Decimal(12000))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("amount", "unit", "field", "said"),
    [
        ("-1", "kg", "amount", "less than nothing"),
        ("much", "kg", "amount", "is not a figure"),
        ("1", "L", "unit", "not one of the available"),
        ("0.0001", "g", "amount", "no more than 3 decimal places"),
    ],
)
def test_a_wrong_amount_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, bath: Batch, amount: str, unit: str, field: str, said: str
) -> None:
    answer = client.post(reverse("put_in_work", args=["B1"]), sent(bath, (amount, unit), ("0.72", "kg")))
    assert said in answer.context["line_forms"][0].errors[field][0]
    assert any("Material ALUMK" in told for told in answer.context["form"].non_field_errors())
    assert not Use.objects.exists()


def test_a_wrong_row_besides_the_recipe_is_refused_beside_its_box(client: Client, bath: Batch) -> None:
    form = sent(bath, ("1", "kg"), ("", "kg"), extra=[{}, {"material": "", "amount": "4"}])
    answer = client.post(reverse("put_in_work", args=["B1"]), form)
    assert "Choose the material" in answer.context["rows"].forms[1].errors["material"][0]
    assert not Use.objects.exists()


def test_volume_and_weight_are_both_offered_once_the_density_is_known(client: Client, bath: Batch) -> None:
    Material.objects.filter(code="SALT").update(density_g_per_ml=Decimal("1.2"))
    client.post(reverse("put_in_work", args=["B1"]), sent(bath, ("", "kg"), ("1", "metric_cup")))
    assert Movement.objects.get(kind="use").quantity == Decimal(-300)


def test_more_rows_keep_what_was_typed_and_write_nothing(client: Client, bath: Batch) -> None:
    form = sent(bath, ("1,111", "kg"), ("", "kg"), extra=[{"amount": "four"}]) | {"more": "1"}
    page = client.post(reverse("put_in_work", args=["B1"]), form).content.decode()
    assert 'value="1,111"' in page
    assert 'value="four"' in page
    assert 'name="rows-TOTAL_FORMS" value="4"' in page
    assert not Use.objects.exists()


@pytest.mark.thorough
def test_ticked_skins_alone_bear_the_cost(client: Client, bath: Batch) -> None:
    client.post(reverse("put_in_work", args=["B1"]), sent(bath, ("1", "kg"), ("", "kg"), skins=["H01"]))
    assert [skin.tag for skin in Use.objects.get().skins.all()] == ["H01"]


@pytest.mark.thorough
def test_soda_and_alum_bring_the_caution_before_pouring(client: Client) -> None:
    alum = factories.material("ALUMK", substance="potash_alum")
    soda = factories.material("SODACRYS", substance="washing_soda_crystals")
    version = factories.recipe(
        "R1", recipes.Line(alum, Decimal(80), "g", "per_litre"), recipes.Line(soda, Decimal(20), "g", "per_litre")
    )
    factories.batch("B1", version=version, litres=Decimal(18))
    for name, said in (("put_in_work", "Never close the vessel."), ("batch", "never seal; gloves and eye protection")):
        assert said in text(client.get(reverse(name, args=["B1"])))


def raw(*tags: str, **more: Any) -> dict[str, Any]:
    salt = Material.objects.get(code="SALT")
    head = {"on": "2025-03-10", "skins": list(tags), "request_key": "k1"}
    return head | lines({"material": salt.pk, "amount": "2.5"}) | more


@pytest.mark.thorough
def test_materials_go_straight_on_raw_skins_in_equal_parts(client: Client) -> None:
    factories.material("SALT", on_hand=12, value="5.40")
    factories.skin("H13", price=9)
    factories.skin("H14", price=9)
    for _ in range(2):
        answer = client.post(reverse("use_on_skins", args=["H13"]), raw("H13", "H14"))
        assert answer["location"] == reverse("skin", args=["H13"])
    use = Use.objects.get()
    assert use.batch is None
    assert {skin.tag for skin in use.skins.all()} == {"H13", "H14"}
    # 2.5 kg of 12 kg worth 5.40 are 1.13, half of it 0.565: 9.57 rounded half up.
    assert "9.57 €" in text(client.get(reverse("skin", args=["H13"])))


@pytest.mark.parametrize(
    ("form", "said"),
    [
        ({"skins": []}, "No skin was chosen"),
        ({"on": "2025-03-01"}, "came in on 2025-03-04"),
        ({"rows-0-amount": "13"}, "13 kg of Material SALT wanted, 12 kg on the shelf"),
        ({"reason": "a\x07"}, "control character"),
    ],
)
def test_a_wrong_entry_on_skins_is_refused_and_nothing_is_written(
    client: Client, form: dict[str, Any], said: str
) -> None:
    factories.material("SALT", on_hand=12, value="5.40")
    factories.skin("H13")
    answer = client.post(reverse("use_on_skins", args=["H13"]), raw("H13") | form)
    assert answer.status_code == 200
    assert said in text(answer)
    assert not Use.objects.exists()


def test_a_short_shelf_is_said_beside_the_row_on_skins_too(client: Client) -> None:
    factories.material("SALT", on_hand=2, value="5.40")
    factories.skin("H13")
    answer = client.post(reverse("use_on_skins", args=["H13"]), raw("H13"))
    assert answer.context["rows"].forms[0].errors["amount"] == ["2.5 kg wanted, 2 kg on the shelf."]
    assert reverse("count_new", args=["SALT"]) in text(answer)
    assert "smaller bath" not in text(answer)


def test_a_use_is_taken_back_once_though_sent_twice(client: Client, bath: Batch) -> None:
    use = factories.put(bath, Material.objects.get(code="SALT"), 2)
    form = {"reason": "wrong sack", "on": str(DAY), "request_key": "k"}
    for _ in range(2):
        answer = client.post(reverse("use_reverse", args=[use.pk]), form)
        assert answer["location"] == reverse("batch", args=["B1"])
    assert Posting.objects.get(reverses=use.posting).reason == "wrong sack"
    assert on_hand("SALT") == Decimal(12000)
    page = text(client.get(reverse("batch", args=["B1"])))
    assert "reversed" in page
    assert reverse("use_reverse", args=[use.pk]) not in page


@pytest.mark.parametrize(
    ("form", "field", "said"),
    [({"reason": ""}, "reason", "required"), ({"on": "2025-03-01"}, "on", "before it happened")],
)
def test_taking_back_asks_for_a_reason_and_a_day_that_can_be(
    client: Client, bath: Batch, form: dict[str, str], field: str, said: str
) -> None:
    use = factories.put(bath, Material.objects.get(code="SALT"), 2)
    full = {"reason": "wrong sack", "on": str(DAY), "request_key": "k"} | form
    answer = client.post(reverse("use_reverse", args=[use.pk]), full)
    assert said in answer.context["form"].errors[field][0]
    assert not Posting.objects.filter(reverses=use.posting).exists()


def test_taking_back_from_closed_books_opens_with_today(client: Client, bath: Batch) -> None:
    use = factories.put(bath, Material.objects.get(code="SALT"), 2)
    assert 'value="2025-03-04"' in client.get(reverse("use_reverse", args=[use.pk])).content.decode()
    workshop.close_books(to=date(2025, 3, 15))
    assert 'value="2025-03-31"' in client.get(reverse("use_reverse", args=[use.pk])).content.decode()


@pytest.mark.thorough
def test_the_page_takes_as_many_queries_for_many_materials_as_for_few(client: Client, bath: Batch) -> None:
    few = queries(client, reverse("put_in_work", args=["B1"]))
    for number in range(29):
        factories.material(f"M{number}")
    assert queries(client, reverse("put_in_work", args=["B1"])) == few
