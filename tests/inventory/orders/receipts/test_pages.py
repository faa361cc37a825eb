"""Goods in from an order, and a delivery by hand that names one."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from inventory.models import Delivery, Material
from inventory.orders import services as orders
from inventory.orders.receipts import services as receipts
from inventory.orders.rules import State
from inventory.suppliers import services as suppliers
from inventory.web.questions import SURE
from tests import factories
from tests.inventory.orders.test_services import asked, day, order, rests, state
from tests.inventory.pages import lines, text

pytestmark = pytest.mark.django_db
ADDRESS = "/orders/O1/goods-in/"


def shown(answer: HttpResponse) -> dict[str, Any]:
    """What the page would send as it stands: one tap on its button."""
    form, rows = answer.context["form"], answer.context["rows"]
    sent = {name: form[name].value() for name in form.fields}
    told = [{name: each[name].value() for name in each.fields} for each in rows.forms if each.initial]
    plain = {name: "" if value in (None, False) else value for name, value in sent.items()}
    return plain | lines(*[{name: "" if value is None else value for name, value in each.items()} for each in told])


def row(material: Material, packs: str, pack: str = "25", price: str = "11.50") -> dict[str, Any]:
    return {"material": material.pk, "packs": packs, "pack_quantity": pack, "unit": "", "pack_price": price}


def test_one_button_takes_in_all_that_is_outstanding(client: Client) -> None:
    salt, oil = factories.material("SALT"), factories.material("OIL", "L")
    of = factories.supplier()
    suppliers.describe(supplier=of, note="", carriage=Decimal("9.90"))
    made = order(asked(salt), asked(oil, "1.5", 12, "4.00", unit="us_fl_oz"))
    receipts.receive(order=made, on=day(1), lines=[factories.line(salt, 1, 25)])
    sent = shown(client.get(ADDRESS))
    assert sent["carriage"] == "9.9"
    first, again = (client.post(ADDRESS, sent) for _ in range(2))
    came = Delivery.objects.latest("pk")
    assert first["location"] == again["location"] == reverse("delivery", args=[came.pk])
    assert (came.order, came.supplier, came.carriage, Delivery.objects.count()) == (made, of, Decimal("9.90"), 2)
    assert state(made) == State.DELIVERED


def test_a_part_comes_by_changing_the_packs(client: Client) -> None:
    made = order(asked(factories.material("SALT"), 4))
    client.post(ADDRESS, shown(client.get(ADDRESS)) | {"rows-0-packs": "1", "rows-0-pack_price": "12.00"})
    assert rests(made) == [Decimal(75000)]
    assert state(made) == State.PART


@pytest.mark.thorough
def test_a_price_that_is_not_expected_is_asked_for_beside_its_line(client: Client) -> None:
    order(asked(factories.material("SALT"), price=None))
    answer = client.post(ADDRESS, shown(client.get(ADDRESS)))
    assert "required" in answer.context["rows"].forms[0].errors["pack_price"][0]
    assert not Delivery.objects.exists()


@pytest.mark.thorough
def test_more_than_is_outstanding_is_asked_about_and_kept_when_it_is_meant(client: Client) -> None:
    made = order(asked(factories.material("SALT"), 2))
    sent = shown(client.get(ADDRESS)) | {"rows-0-packs": "3"}
    answer = client.post(ADDRESS, sent)
    assert "75 kg came and 50 kg of the order is outstanding" in text(answer)
    assert not Delivery.objects.exists()
    assert client.post(ADDRESS, sent | {SURE: answer.context["form"].asked.sure}).status_code == 302
    assert state(made) == State.DELIVERED


@pytest.mark.thorough
def test_what_was_not_ordered_is_asked_about(client: Client) -> None:
    order(asked(factories.material("SALT")))
    alum = factories.material("ALUMK")
    answer = client.post(ADDRESS, shown(client.get(ADDRESS)) | {"rows-0-material": alum.pk})
    assert "50 kg came and none of it is outstanding on this order" in text(answer)


@pytest.mark.thorough
def test_goods_of_a_closed_order_are_refused_and_what_was_typed_stays(client: Client) -> None:
    made = order(asked(factories.material("SALT")))
    sent = shown(client.get(ADDRESS)) | {"ref": "P-9"}
    orders.close(order=made, on=day(1), reason="sold out")
    answer = client.post(ADDRESS, sent)
    assert "is closed since" in text(answer)
    assert 'value="P-9"' in answer.content.decode()
    assert not Delivery.objects.exists()


@pytest.mark.thorough
def test_a_delivery_by_hand_names_an_order_of_its_supplier(client: Client) -> None:
    salt = factories.material("SALT")
    assert 'name="order"' not in client.get(reverse("delivery_new")).content.decode()
    made = order(asked(salt))
    assert '<option value="O1">O1: Utuharju Chemicals, 4 Mar 2025' in text(client.get(reverse("delivery_new")))
    head = {"supplier": "Utuharju Chemicals", "on": str(day(3)), "request_key": "k1", "order": "O1"}
    assert client.post(reverse("delivery_new"), head | lines(row(salt, "1"))).status_code == 302
    assert state(made) == State.PART
    again = head | {"request_key": "k2", "on": str(day(4))} | lines(row(salt, "1"))
    other = client.post(reverse("delivery_new"), again | {"supplier": "Hallasalmi Hardware"})
    assert "went to Utuharju Chemicals" in other.context["form"].errors["order"][0]
    nothing = client.post(reverse("delivery_new"), again | {"order": "O9"})
    assert "no order O9" in nothing.context["form"].errors["order"][0]


@pytest.mark.thorough
def test_goods_that_are_on_an_open_order_are_asked_about_when_nobody_names_it(client: Client) -> None:
    salt = factories.material("SALT")
    made = order(asked(salt))
    sent = {"supplier": "Utuharju Chemicals", "on": str(day(3)), "request_key": "k1"} | lines(row(salt, "2"))
    answer = client.post(reverse("delivery_new"), sent)
    assert "outstanding on order O1" in text(answer)
    kept = sent | {SURE: answer.context["form"].asked.sure}
    assert [client.post(reverse("delivery_new"), kept).status_code for _ in range(2)] == [302, 302]
    assert Delivery.objects.get().order is None
    assert state(made) == State.ORDERED
    other = sent | {"request_key": "k2", "supplier": "Hallasalmi Hardware"}
    assert client.post(reverse("delivery_new"), other).status_code == 302
