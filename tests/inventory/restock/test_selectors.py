"""What the shelf's selectors work out: unit cost, levels, how long it lasts, landed lines."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.base.accounting import services as workshop
from inventory.deliveries import selectors as deliveries_selectors
from inventory.deliveries.forms import LineRows
from inventory.ledger import selectors as stock, services as ledger
from inventory.models import Kind
from inventory.restock import selectors as restock_selectors
from inventory.web.forms import MOST, with_more
from tests import factories

pytestmark = pytest.mark.django_db
D = Decimal
ON = date(2025, 12, 31)


@pytest.mark.parametrize(
    ("value", "quantity", "unit", "cost"),
    [
        ("3.67", "560", "kg", "6.55"),
        ("9.55", "82", "piece", "0.12"),
        ("1.12", "16", "piece", "0.07"),
        ("0.40", "1000", "g", "0.0004"),
        ("0", "1000", "g", "0.00"),
    ],
)
def test_a_unit_costs_value_over_quantity_finer_only_where_a_coin_says_too_little(
    value: str, quantity: str, unit: str, cost: str
) -> None:
    assert stock.unit_cost(Decimal(value), Decimal(quantity), unit) == Decimal(cost)


def test_nothing_on_the_shelf_has_no_unit_cost() -> None:
    assert stock.unit_cost(Decimal(0), Decimal(0), "kg") is None


def test_a_currency_without_coins_costs_whole_units() -> None:
    workshop.set_up(currency="JPY")
    assert stock.unit_cost(Decimal(1000), Decimal(3000), "kg") == Decimal(333)


def test_usual_use_is_spread_over_a_year_or_the_life_of_a_younger_shelf() -> None:
    old = factories.material("OLD", on_hand=10, value="1.00", on=ON - timedelta(days=400))
    young = factories.material("YOUNG", on_hand=10, value="1.00", on=ON - timedelta(days=99))
    for each in (old, young):
        factories.take(each, "3.65", on=ON - timedelta(days=10))
        each.refresh_from_db()
    looks = restock_selectors.looks([old, young], ON)
    assert looks[old.pk].daily_use == Fraction(10)
    assert looks[young.pk].daily_use == Fraction(3650, 100)
    # 6350 g at 10 g a day
    assert looks[old.pk].outlook.runs_out_on == ON + timedelta(days=635)


def test_what_was_taken_back_or_spoiled_is_no_usual_use() -> None:
    alum = factories.material(on_hand=10, value="1.00", on=ON)
    ledger.reverse(posting=factories.take(alum, 1, on=ON), reason="wrong")
    factories.take(alum, 1, on=ON, kind=Kind.SPOILED)
    alum.refresh_from_db()
    look = restock_selectors.looks([alum], ON)[alum.pk]
    assert look.daily_use == 0
    assert look.outlook.runs_out_on is None
    assert look.need is None


def test_the_jar_is_drawn_against_its_fullest_of_the_year() -> None:
    alum = factories.material(on_hand=4, value="1.00", on=date(2025, 1, 1), lead_days=20, safety_days=10)
    factories.take(alum, 3, on=date(2025, 6, 1))
    alum.refresh_from_db()
    look = restock_selectors.looks([alum], ON)[alum.pk]
    assert (look.fullest, look.filled) == (Decimal(4000), 25)
    # 3000 g in 365 days, for the 30 days of lead and spare: 246.575 g, 6 % of the jar
    assert (look.order_level, look.need) == (Decimal("246.575"), 6)
    assert look.words("kg") == "25 % of this year's highest stock; reorder point 0.25 kg"
    assert look.usual("kg") == "0.25 kg in 30 days"


def test_a_jar_that_was_never_filled_has_no_level() -> None:
    alum = factories.material()
    look = restock_selectors.looks([alum], ON)[alum.pk]
    assert (look.fullest, look.filled, look.need) == (Decimal(0), 0, None)


@pytest.mark.thorough
def test_looks_take_the_same_queries_for_one_material_as_for_thirty() -> None:
    rows = [factories.material(f"M{number}", on_hand=1, value="1.00") for number in range(30)]
    counts = []
    for some in (rows[:1], rows):
        with CaptureQueriesContext(connection) as seen:
            assert len(restock_selectors.looks(some, ON)) == len(some)
        counts.append(len(seen))
    assert counts == [3, 3]


def test_landed_lines_add_up_to_goods_carriage_and_total() -> None:
    salt, alum = factories.material("SALT"), factories.material("ALUMK")
    came = factories.delivery(
        factories.line(salt, 2, 25, "11.50"), factories.line(alum, 1, 2, "11.60"), carriage="9.90"
    )
    lines = list(deliveries_selectors.lines(came))
    assert [line.carriage_share for line in lines] == [Decimal("6.58"), Decimal("3.32")]
    row = deliveries_selectors.deliveries().get(pk=came.pk)
    assert (sum(line.goods for line in lines), row.carriage, row.total) == (D("34.60"), D("9.90"), D("44.50"))


@pytest.mark.parametrize(
    ("sent", "rows"),
    [("2", 5), ("", 3), ("-1", 3), ("x", 3), ("²", 3), ("99999999999", 3), ("59", MOST), ("1000", MOST)],
)
def test_more_rows_are_offered_whatever_number_was_sent(sent: str, rows: int) -> None:
    assert with_more(LineRows, {"rows-TOTAL_FORMS": sent}, prefix="rows", form_kwargs={}).total_form_count() == rows
