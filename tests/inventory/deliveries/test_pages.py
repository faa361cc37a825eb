"""Pages of goods in: the list, one delivery, a new one with its lines."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client
from django.urls import reverse

from inventory.ledger import services as ledger
from inventory.models import Delivery, Material, Movement, Supplier
from tests import factories
from tests.inventory.pages import lines, queries, text

pytestmark = pytest.mark.django_db
HEAD = {"supplier": "Utuharju Chemicals", "on": "2025-01-07", "ref": "P-001", "carriage": "9,90", "request_key": "k1"}


def row(material: Material, packs: str, pack: str, price: str, unit: str = "") -> dict[str, Any]:
    return {"material": material.pk, "packs": packs, "pack_quantity": pack, "unit": unit, "pack_price": price}


def test_pages_open_for_the_owner(client: Client) -> None:
    came = factories.delivery(factories.line(factories.material()))
    for address in (reverse("deliveries"), reverse("delivery_new"), reverse("delivery", args=[came.pk])):
        assert client.get(address).status_code == 200


def test_no_delivery_yet_says_what_to_do_first(client: Client) -> None:
    assert "No delivery yet" in text(client.get(reverse("deliveries")))


def test_goods_cannot_come_in_before_a_material_is_known(client: Client) -> None:
    assert reverse("material_new") in text(client.get(reverse("delivery_new")))


def test_a_delivery_is_written_once_with_its_carriage_shared_by_value(client: Client) -> None:
    salt, alum = factories.material("SALT"), factories.material("ALUMK")
    soda, bicarb = factories.material("SODACRYS"), factories.material("BICARB")
    sent = HEAD | lines(
        row(salt, "2", "25", "11.50"),
        {},
        row(alum, "1", "2000", "11.60", "g"),
        row(soda, "1", "1,5", "3,90"),
        row(bicarb, "1", "1", "3.20", "kg"),
    )
    first = client.post(reverse("delivery_new"), sent)
    again = client.post(reverse("delivery_new"), sent)
    came = Delivery.objects.get()
    assert first["location"] == again["location"] == reverse("delivery", args=[came.pk])
    # The demonstration year's P-001: 28.46, 14.35, 4.83 and 3.96 landed, 51.60 in all.
    assert list(Movement.objects.order_by("pk").values_list("value", flat=True)) == [
        Decimal("28.46"),
        Decimal("14.35"),
        Decimal("4.83"),
        Decimal("3.96"),
    ]
    page = text(client.get(first["location"]))
    assert "51.60 €" in page
    assert "2 × 25 kg" in page
    assert "7.18 €/kg" in page
    assert "The delivery from Utuharju Chemicals is on the shelf for 51.60 €." in page


def test_more_lines_keep_what_was_typed_and_write_nothing(client: Client) -> None:
    salt = factories.material("SALT")
    sent = HEAD | lines(row(salt, "2", "two sacks", "11.50"), {}) | {"more": "1"}
    answer = client.post(reverse("delivery_new"), sent)
    page = answer.content.decode()
    assert 'name="rows-TOTAL_FORMS" value="5"' in page
    assert 'value="two sacks"' in page
    assert 'value="P-001"' in page
    assert 'value="k1"' in page
    assert "Please correct this" not in page
    assert not Delivery.objects.exists()
    assert not Supplier.objects.exists()


def test_an_empty_pack_size_means_the_usual_pack(client: Client) -> None:
    salt = factories.material("SALT", pack_quantity=Decimal(25))
    client.post(reverse("delivery_new"), HEAD | lines(row(salt, "2", "", "11.50")))
    salt.refresh_from_db()
    assert salt.on_hand == Decimal(50000)


def test_a_refusal_is_beside_its_own_row_where_another_holds_a_part_of_its_figure(client: Client) -> None:
    salt = factories.material("SALT")
    sent = HEAD | lines(row(salt, "1", "25", "1", "kg"), row(salt, "1", "25", "1.0050", "kg"))
    first, second = client.post(reverse("delivery_new"), sent).context["rows"].forms[:2]
    assert not first.errors
    assert "more than 2 decimals" in second.errors["pack_price"][0]


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"packs": "0"}, "packs", "must be more than nothing"),
        ({"packs": "-2"}, "packs", "must be more than nothing"),
        ({"pack_quantity": ""}, "pack_quantity", "How much does one pack"),
        ({"pack_quantity": "0.0000001"}, "pack_quantity", "no more than 6 decimal places"),
        ({"unit": "L"}, "unit", "density"),
        ({"unit": "m"}, "unit", "measures length"),
        ({"pack_price": "1.0050"}, "pack_price", "more than 2 decimals"),
        ({"pack_price": "-1"}, "pack_price", "cannot be negative"),
        ({"material": ""}, "material", "required"),
    ],
)
def test_a_wrong_line_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    salt = factories.material("SALT")
    sent = HEAD | lines(row(salt, "1", "25", "11.50", "kg"), row(salt, "1", "25", "11.50", "kg") | wrong)
    answer = client.post(reverse("delivery_new"), sent)
    assert said in answer.context["rows"].forms[1].errors[field][0]
    assert not answer.context["rows"].forms[0].errors
    assert "Line 2" in answer.context["form"].non_field_errors()[0]
    assert not Delivery.objects.exists()
    assert not Supplier.objects.exists()


def test_a_delivery_without_lines_is_refused(client: Client) -> None:
    factories.material("SALT")
    answer = client.post(reverse("delivery_new"), HEAD | lines({}, {}))
    assert "has no lines" in answer.context["form"].non_field_errors()[0]
    assert not Supplier.objects.exists()


@pytest.mark.thorough
def test_more_rows_than_can_be_shown_are_refused_not_dropped(client: Client) -> None:
    salt = factories.material("SALT")
    sent = HEAD | lines(row(salt, "1", "25", "11.50")) | {"rows-TOTAL_FORMS": "1000"}
    assert client.post(reverse("delivery_new"), sent).status_code == 200
    assert not Delivery.objects.exists()


def test_the_same_reference_of_a_supplier_is_refused_until_it_was_taken_back(client: Client) -> None:
    salt = factories.material("SALT")
    came = factories.delivery(factories.line(salt), ref="P-001")
    sent = HEAD | lines(row(salt, "1", "25", "11.50"))
    assert "P-001 is used already" in client.post(reverse("delivery_new"), sent).context["form"].errors["ref"][0]
    ledger.reverse(posting=came.posting, reason="wrong sack")
    assert client.post(reverse("delivery_new"), sent | {"request_key": "k2"}).status_code == 302


def test_a_delivery_taken_back_is_marked_on_its_page_and_in_the_list(client: Client) -> None:
    came = factories.delivery(factories.line(factories.material()), ref="P-9")
    back = ledger.reverse(posting=came.posting, reason="wrong sack")
    page = text(client.get(reverse("delivery", args=[came.pk])))
    assert "wrong sack" in page
    assert reverse("posting", args=[back.pk]) in page
    assert reverse("posting_reverse", args=[came.posting_id]) not in page
    assert "reversed" in text(client.get(reverse("deliveries")))


@pytest.mark.thorough
def test_the_page_of_a_material_opens_goods_in_with_it(client: Client) -> None:
    alum = factories.material("ALUMK", supplier=factories.supplier("Hallasalmi Hardware"))
    answer = client.get(reverse("delivery_new"), {"material": "ALUMK"})
    assert f'<option value="{alum.pk}" selected' in answer.content.decode()
    assert 'value="Hallasalmi Hardware"' in answer.content.decode()


def test_the_list_is_found_by_reference_and_supplier(client: Client) -> None:
    alum = factories.material()
    factories.delivery(factories.line(alum), ref="P-001")
    other = factories.delivery(factories.line(alum), ref="Q-002")
    page = text(client.get(reverse("deliveries"), {"words": "q-0"}))
    assert "Q-002" in page
    assert "P-001" not in page
    assert "P-001" in text(client.get(reverse("deliveries"), {"supplier": other.supplier_id}))


@pytest.mark.thorough
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    alum = factories.material()
    factories.delivery(factories.line(alum))
    one = queries(client, reverse("deliveries"))
    for _ in range(29):
        factories.delivery(factories.line(alum), factories.line(alum))
    assert queries(client, reverse("deliveries")) == one


@pytest.mark.thorough
def test_a_delivery_takes_as_many_queries_for_thirty_lines_as_for_one(client: Client) -> None:
    alum = factories.material()
    small = factories.delivery(factories.line(alum))
    large = factories.delivery(*[factories.line(alum)] * 30)
    assert queries(client, reverse("delivery", args=[small.pk])) == queries(
        client, reverse("delivery", args=[large.pk])
    )


@pytest.mark.thorough
def test_the_form_asks_for_the_materials_once_for_all_its_lines(client: Client) -> None:
    factories.material()
    few = queries(client, reverse("delivery_new"))
    for number in range(29):
        factories.material(f"M{number}")
    assert queries(client, reverse("delivery_new")) == few


@pytest.mark.thorough
def test_a_delivery_recorded_on_the_way_leads_back_to_where_it_was_missed(client: Client) -> None:
    salt = factories.material("SALT", on_hand=0, pack_quantity=Decimal(25))
    there = "/batches/B1/put-in-work/?litres=7&line-1-amount=0%2C5"
    address = f"{reverse('delivery_new')}?{urlencode({'material': 'SALT', 'next': there})}"
    assert there.replace("&", "&amp;") in client.get(address).content.decode()
    form = HEAD | lines(row(salt, "1", "25", "11.50"))
    assert client.post(address, form)["location"] == there


@pytest.mark.parametrize("foreign", ["https://example.org/", "//example.org/", "javascript:alert(1)"])
def test_a_delivery_leads_nowhere_outside_the_workshop(client: Client, foreign: str) -> None:
    salt = factories.material("SALT", on_hand=0, pack_quantity=Decimal(25))
    form = HEAD | lines(row(salt, "1", "25", "11.50"))
    answer = client.post(f"{reverse('delivery_new')}?{urlencode({'next': foreign})}", form)
    assert answer["location"] == reverse("delivery", args=[Delivery.objects.get().pk])


@pytest.mark.thorough
def test_the_same_delivery_is_asked_about_with_a_way_to_the_one_that_is_there(client: Client) -> None:
    salt = factories.material("SALT")
    first = HEAD | {"ref": ""} | lines(row(salt, "2", "25", "11.50"))
    client.post(reverse("delivery_new"), first)
    there = Delivery.objects.get()
    second = first | {"request_key": "k2"}
    asked = client.post(reverse("delivery_new"), second)
    page = text(asked)
    assert "The same delivery from Utuharju Chemicals was entered on" in page
    assert reverse("delivery", args=[there.pk]) in page
    assert 'type="checkbox" name="again"' in page
    assert 'value="k2"' in page
    assert Delivery.objects.count() == 1
    for _ in range(2):
        client.post(reverse("delivery_new"), second | {"again": "on"})
    assert Delivery.objects.count() == 2


@pytest.mark.thorough
def test_a_delivery_like_no_other_is_not_asked_about(client: Client) -> None:
    factories.material("SALT")
    assert 'type="checkbox"' not in text(client.get(reverse("delivery_new")))
