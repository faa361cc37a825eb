"""Pages of orders: the list, one, a new one, closing it, opening it again."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client
from django.urls import reverse

from inventory.base.accounting import services as workshop
from inventory.ledger import services as ledger
from inventory.models import Material, Order, Supplier
from inventory.orders import services as orders
from inventory.orders.receipts import services as receipts
from inventory.orders.rules import State
from tests import factories
from tests.inventory.orders.test_services import asked, day, order, state
from tests.inventory.pages import lines, queries, signed_in, text

pytestmark = pytest.mark.django_db
HEAD = {"supplier": "Utuharju Chemicals", "on": "2025-03-04", "request_key": "k1"}


def row(material: Material, packs: str, pack: str = "", price: str = "", unit: str = "") -> dict[str, Any]:
    return {"material": material.pk, "packs": packs, "pack_quantity": pack, "unit": unit, "pack_price": price}


def page(client: Client, of: Order) -> str:
    return text(client.get(reverse("order", args=[of.number])))


def test_no_order_yet_says_what_to_do_first(client: Client) -> None:
    assert "No order yet" in text(client.get(reverse("orders")))


def test_nothing_can_be_ordered_before_a_material_is_known(client: Client) -> None:
    assert reverse("material_new") in text(client.get(reverse("order_new")))


def test_pages_open_for_the_owner(client: Client) -> None:
    made = order(asked(factories.material("SALT")), number="2025/7")
    for name in ("order", "order_edit", "order_close", "order_reopen", "order_receive"):
        assert client.get(reverse(name, args=[made.number])).status_code == 200


def test_shelf_material_and_supplier_lead_to_orders(client: Client) -> None:
    made = order(asked(factories.material("A.B/C")))
    assert reverse("orders") in text(client.get(reverse("shelf")))
    assert f"{reverse('order_new')}?material=A.B%2FC" in text(client.get(reverse("material", args=["A.B/C"])))
    assert reverse("order", args=[made.number]) in text(client.get(reverse("supplier", args=[made.supplier_id])))


def test_an_order_is_written_once_however_often_it_is_sent(client: Client) -> None:
    salt, alum = factories.material("SALT", pack_quantity=Decimal(25)), factories.material("ALUMK")
    sent = HEAD | {"due_on": "2025-03-13"} | lines(row(salt, "2", price="11,50"), {}, row(alum, "1", "2000", unit="g"))
    first, again = (client.post(reverse("order_new"), sent) for _ in range(2))
    made = Order.objects.get()
    assert first["location"] == again["location"] == reverse("order", args=["O1"])
    shown = page(client, made)
    assert "2 × 25 kg" in shown
    assert "1 × 2 kg" in shown
    assert "due 13 Mar 2025" in shown
    assert "Order O1 to Utuharju Chemicals is written down." in shown


def test_the_shopping_list_opens_a_new_order_with_its_lines(client: Client) -> None:
    farm = factories.supplier("Sammalniitty Sheep Farm")
    salt, alum = factories.material("SALT", supplier=farm), factories.material("ALUMK")
    asked_for = [("material", "SALT"), ("packs", "3"), ("material", "NONE"), ("packs", "9"), ("material", "ALUMK")]
    asked_for += [("packs", "x"), ("supplier", "Utuharju Chemicals")]
    answer = client.get(f"{reverse('order_new')}?{urlencode(asked_for)}")
    first, second = answer.context["rows"].forms[:2]
    assert (first["material"].value(), first["packs"].value()) == (salt.pk, 3)
    assert (second["material"].value(), second["packs"].value()) == (alum.pk, None)
    assert 'value="Utuharju Chemicals"' in answer.content.decode()
    usual = client.get(f"{reverse('order_new')}?material=SALT")
    assert 'value="Sammalniitty Sheep Farm"' in usual.content.decode()


def test_an_order_leads_back_to_the_list_it_was_made_from(client: Client) -> None:
    salt = factories.material("SALT", pack_quantity=Decimal(25))
    answer = client.post(f"{reverse('order_new')}?next=/shelf/", HEAD | lines(row(salt, "2")))
    assert answer["location"] == "/shelf/"


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"packs": "0"}, "packs", "must be more than nothing"),
        ({"packs": ""}, "packs", "required"),
        ({"pack_quantity": ""}, "pack_quantity", "How much does one pack"),
        ({"unit": "L"}, "unit", "density"),
        ({"pack_price": "-1"}, "pack_price", "cannot be negative"),
        ({"material": ""}, "material", "required"),
    ],
)
def test_a_wrong_line_is_refused_beside_its_box(client: Client, wrong: dict[str, str], field: str, said: str) -> None:
    salt = factories.material("SALT")
    answer = client.post(reverse("order_new"), HEAD | lines(row(salt, "1", "25"), row(salt, "1", "25") | wrong))
    assert said in answer.context["rows"].forms[1].errors[field][0]
    assert not Order.objects.exists()
    assert not Supplier.objects.exists()


def test_an_order_of_nothing_and_one_due_before_it_was_placed_are_refused(client: Client) -> None:
    salt = factories.material("SALT")
    answer = client.post(reverse("order_new"), HEAD | lines({}))
    assert "has no lines" in answer.context["form"].non_field_errors()[0]
    answer = client.post(reverse("order_new"), HEAD | {"due_on": "2025-03-03"} | lines(row(salt, "1", "25")))
    assert "before it was ordered" in answer.context["form"].errors["due_on"][0]
    assert not Supplier.objects.exists()


@pytest.mark.thorough
def test_the_list_shows_what_is_to_come_first_and_is_narrowed(client: Client) -> None:
    salt = factories.material("SALT")
    first, late, done = (order(asked(salt), on=day(nth), due_on=day(nth + 3)) for nth in range(3))
    receipts.receive(order=done, on=day(4))
    table = client.get(reverse("orders")).context["table"]
    assert [each.record.number for each in table.rows] == [late.number, first.number, done.number]
    for wanted, numbers in (("open", [late.number, first.number]), ("done", [done.number])):
        table = client.get(reverse("orders"), {"state": wanted}).context["table"]
        assert [each.record.number for each in table.rows] == numbers
    assert "No order matches" in text(client.get(reverse("orders"), {"words": "nothing"}))


@pytest.mark.thorough
def test_an_order_past_its_day_says_by_how_much(client: Client) -> None:
    made = order(asked(factories.material("SALT")), due_on=day(1))
    workshop.pin_today(on=day(5))
    assert "overdue by 4 days" in page(client, made)
    assert "overdue by 4 days" in text(client.get(reverse("orders")))
    receipts.receive(order=made, on=day(5))
    assert "overdue" not in page(client, made)


@pytest.mark.thorough
def test_one_order_shows_what_came_and_a_delivery_that_was_reversed(client: Client) -> None:
    salt = factories.material("SALT")
    made = order(asked(salt, 2, 25), due_on=day(9), ref="A-77", note="by carrier")
    came = receipts.receive(order=made, on=day(4), lines=[factories.line(salt, 1, 25)])
    shown = page(client, made)
    assert "part delivered" in shown
    assert "their number A-77" in shown
    assert reverse("delivery", args=[came.pk]) in shown
    assert f'By order <a href="{reverse("order", args=["O1"])}">O1</a>' in text(
        client.get(reverse("delivery", args=[came.pk]))
    )
    ledger.reverse(posting=came.posting, reason="wrong shed")
    shown = page(client, made)
    assert "reversed" in shown
    assert "part delivered" not in shown


def test_the_rest_will_not_come_with_a_reason_until_it_does(client: Client) -> None:
    made = order(asked(factories.material("SALT")))
    close, again = (reverse(name, args=["O1"]) for name in ("order_close", "order_reopen"))
    refused = client.post(close, {"on": str(day(2)), "reason": "", "request_key": "k"})
    assert refused.status_code == 200
    assert client.post(close, {"on": str(day(2)), "reason": "sold out", "request_key": "k"}).status_code == 302
    shown = page(client, made)
    assert "The rest will not come, since 6 Mar 2025: sold out" in shown
    assert reverse("order_receive", args=["O1"]) not in shown
    assert client.post(again, {"request_key": "k2"}).status_code == 302
    assert state(made) == State.ORDERED


def test_what_the_supplier_said_since_is_entered(client: Client) -> None:
    order(asked(factories.material("SALT")), ref="A-1")
    address = reverse("order_edit", args=["O1"])
    assert 'value="A-1"' in client.get(address).content.decode()
    client.post(address, {"due_on": str(day(6)), "ref": "A-2", "note": "", "request_key": "k"})
    made = Order.objects.get()
    assert (made.due_on, made.ref) == (day(6), "A-2")


def test_a_reader_without_the_permit_sees_orders_and_enters_none(client: Client) -> None:
    order(asked(factories.material("SALT", pack_quantity=Decimal(25))))
    nobody = factories.person("owner")
    nobody.groups.clear()
    reader = signed_in(nobody)
    shown = text(reader.get(reverse("order", args=["O1"])))
    assert reverse("order_close", args=["O1"]) not in shown
    for name in ("order_receive", "order_close", "order_reopen", "order_edit"):
        assert reader.get(reverse(name, args=["O1"])).status_code == 403
    sent = HEAD | lines(row(Material.objects.get(), "1"))
    assert reader.post(reverse("order_new"), sent).status_code == 403
    assert Order.objects.count() == 1


@pytest.mark.thorough
def test_an_order_is_found_by_its_number_and_the_suppliers(client: Client) -> None:
    order(asked(factories.material("SALT")), ref="A-77")
    assert client.get(reverse("search"), {"q": "o1"})["location"] == reverse("order", args=["O1"])
    assert "O1" in text(client.get(reverse("search"), {"q": "A-77"}))


@pytest.mark.thorough
def test_the_list_and_an_order_take_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    salt = factories.material("SALT")
    small = order(asked(salt))
    receipts.receive(order=small, on=day(1))
    one, shown = queries(client, reverse("orders")), queries(client, reverse("order", args=[small.number]))
    for _ in range(29):
        large = order(*[asked(salt)] * 30)
        for nth in range(3):
            receipts.receive(order=large, on=day(nth), lines=[factories.line(salt, 1, 1)])
    orders.close(order=large, on=day(5), reason="enough")
    assert queries(client, reverse("orders")) == one
    assert queries(client, reverse("order", args=[large.number])) == shown
