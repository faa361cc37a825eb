"""The shopping list as a page: what to order from whom, what may share the carriage, and the order as a message."""

from __future__ import annotations

import html
import re
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client

from inventory import money
from inventory.base.accounting import services as workshop
from inventory.foresight.shopping import selectors as shopping
from inventory.foresight.snoozes import services as snoozes
from inventory.models import Material
from inventory.suppliers import services as suppliers
from tests import factories as make
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
TODAY = date(2025, 3, 31)
D = Decimal


@pytest.fixture
def today(db: None) -> None:
    workshop.set_up(name="Routamo Skins")
    workshop.pin_today(on=TODAY)


def used_weekly(
    code: str, left: str | int = 0, *, price: str = "11.60", supplier: bool = True, **details: object
) -> Material:
    """A kilogram a week since January, and so much left; bought once in packs of 2 kg where it has a price."""
    of = make.material(code, pack_quantity=D(2), supplier=make.supplier() if supplier else None, **details)
    count = 12
    if price:
        make.delivery(make.line(of, 20, 2, price), on=date(2025, 1, 1))
    else:
        make.receive(of, 40, 0, on=date(2025, 1, 1))
    for week in range(count):
        make.take(of, 1, on=date(2025, 1, 6) + timedelta(weeks=week))
    if rest := D(40) - count - D(left):
        make.take(of, str(rest), on=date(2025, 1, 2))
    of.refresh_from_db()
    return of


def test_a_line_says_how_much_for_how_much_and_why(today: None) -> None:
    used_weekly("ALUMK", lead_days=9)
    page = text(signed_in().get("/shelf/to-order/"))
    assert "Utuharju Chemicals" in page
    assert "Material ALUMK" in page
    assert re.search(r"\d packs of 2 kg|one 2 kg pack", page)
    assert "<summary>Why</summary>" in page
    assert "what the supplier takes for carriage is not known." in page


def test_goods_and_carriage_add_up_and_say_what_would_be_free(today: None) -> None:
    supplier = make.supplier()
    suppliers.describe(supplier=supplier, note="", carriage=D("9.90"), carriage_free_from=D(5000))
    used_weekly("ALUMK", lead_days=9)
    (basket,) = shopping.shopping_list(TODAY).baskets
    assert basket.sums.missing is not None
    assert basket.sums.total == basket.sums.goods + D("9.90")
    goods, total, missing = (
        money.show(each, "EUR") for each in (basket.sums.goods, basket.sums.total, basket.sums.missing)
    )
    page = text(signed_in().get("/shelf/to-order/"))
    assert f"Goods {goods} and carriage 9.90 €: {total}.".replace("\u202f", " ").replace("\u00a0", " ") in page
    assert f"Goods for {missing} more come free of carriage.".replace("\u202f", " ").replace("\u00a0", " ") in page


def test_a_material_without_a_supplier_has_a_basket_of_its_own(today: None) -> None:
    used_weekly("ALUMK", price="", supplier=False)
    page = text(signed_in().get("/shelf/to-order/"))
    assert "<h2>No supplier named</h2>" in page
    assert "No price is known yet; the first delivery tells it." in page


def test_the_message_holds_what_to_send_and_neither_price_nor_stock(today: None) -> None:
    used_weekly("ALUMK", name="Alum & <salt>")
    page = signed_in().get("/shelf/to-order/").content.decode()
    found = re.search(r"<textarea[^>]*readonly[^>]*data-copy>(.*?)</textarea>", page, re.DOTALL)
    assert found
    said = html.unescape(found[1])
    assert said.startswith("Order to Utuharju Chemicals\n\n- Alum & <salt>: ")
    assert said.endswith("\n\nRoutamo Skins")
    assert "€" not in said


def test_what_is_set_aside_stands_folded_below_and_in_no_basket(today: None) -> None:
    of = used_weekly("ALUMK")
    snoozes.snooze(material=of, until=TODAY + timedelta(days=9), reason="Cheaper in April")
    assert shopping.shopping_list(TODAY).baskets == ()
    page = text(signed_in().get("/shelf/to-order/"))
    assert "1 set aside" in page
    assert "until 9 Apr 2025: Cheaper in April" in page
    assert "Nothing is to be ordered." in page


def test_with_nothing_to_order_it_says_what_is_next(today: None) -> None:
    of = used_weekly("ALUMK", left=20)
    (row,) = [shopping.shopping_list(TODAY).next]
    assert row is not None
    assert row.outlook.material == of
    assert "Next is" in text(signed_in().get("/shelf/to-order/"))


def test_an_empty_workshop_has_nothing_to_order(today: None) -> None:
    assert "Nothing is to be ordered." in text(signed_in().get("/shelf/to-order/"))


@pytest.mark.thorough
def test_more_materials_take_no_more_queries(today: None) -> None:
    used_weekly("A")
    client = signed_in()
    one = queries(client, "/shelf/to-order/")
    for code in ("B", "C", "D"):
        used_weekly(code)
    assert queries(client, "/shelf/to-order/") == one


def test_who_may_record_no_goods_sees_the_list_and_no_way_to_set_aside(today: None) -> None:
    of = used_weekly("ALUMK")
    snoozes.snooze(material=of, until=TODAY + timedelta(days=9), reason="Cheaper in April")
    outsider = make.User.objects.create_user("guest")
    page = text(signed_in(outsider).get("/shelf/to-order/"))
    assert "Show again" not in page


def test_the_page_is_reached_from_the_shelf_and_from_today(today: None) -> None:
    used_weekly("ALUMK")
    client: Client = signed_in()
    assert '"/shelf/to-order/"' in text(client.get("/shelf/"))
    assert '"/shelf/to-order/"' in text(client.get("/"))
