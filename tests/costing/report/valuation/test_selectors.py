from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.batches.issues import services as batches
from costing.make.losses import services as losses
from costing.report.valuation import selectors as stock_value
from inventory.base.accounting import services as workshop
from inventory.models import Kind, Skin
from tests.factories import DAY, article, batch, days_from, finish, material, piece, place, put, skin, take, work

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def classes(on: date) -> tuple[Decimal, Decimal, Decimal, Decimal, Decimal]:
    value = stock_value.at(on)
    return value.consumables, value.raw_skins, value.in_work, value.finished, value.lost


def test_a_skin_walks_from_raw_through_work_to_finished_day_by_day() -> None:
    salt = material("SALT", on_hand=10, value="10.00", on=day(0))
    skin("H01", price=12, date_in=day(1))
    bath = batch(tags=["H01"], start=day(2))
    put(bath, salt, 2, day(4))
    finish("H01", on=day(6))
    assert classes(day(-1)) == (0, 0, 0, 0, 0)
    assert classes(day(0)) == (10, 0, 0, 0, 0)
    assert classes(day(1)) == (10, 12, 0, 0, 0)
    assert classes(day(3)) == (10, 12, 0, 0, 0)
    assert classes(day(4)) == (8, 0, 14, 0, 0)
    assert classes(day(6)) == (8, 0, 0, 14, 0)
    assert stock_value.at(day(6)).total == D(22)


def test_an_earlier_day_does_not_know_what_was_written_for_later_ones() -> None:
    salt = material("SALT", on_hand=10, value="10.00")
    skin("H01", price=12)
    put(None, salt, 1, tags=["H01"])
    finish("H01", on=day(2))
    put(None, salt, 1, day(3), tags=["H01"])
    assert classes(day(1)) == (9, 13, 0, 0, 0)
    assert classes(day(2)) == (9, 0, 0, 13, 0)
    assert classes(day(3)) == (8, 0, 0, 14, 0)


def test_a_use_taken_back_later_counts_until_then() -> None:
    salt = material("SALT", on_hand=10, value="10.00")
    skin("H01", price=0)
    batches.reverse(use=put(None, salt, 4, tags=["H01"]), reason="x", on=day(2))
    assert classes(day(1))[:2] == (6, 4)
    assert classes(day(2))[:2] == (10, 0)


def test_own_hours_are_never_in_stock_value_and_paid_help_is() -> None:
    skin("H01", price=0)
    work(minutes=600, tags=["H01"])
    work(minutes=60, tags=["H01"], who="Anna", paid=D("12.50"))
    assert stock_value.at(DAY).total == D("12.50")


def test_a_customers_skin_is_nothing_and_what_went_into_it_is_work_begun() -> None:
    salt = material("SALT", on_hand=10, value="10.00")
    skin("H06", owner="customer", price=0)
    bath = batch(tags=["H06"])
    put(bath, salt, 3)
    assert classes(DAY) == (7, 0, 3, 0, 0)
    finish("H06", on=day(1))
    assert classes(day(1)) == (7, 0, 3, 0, 0)


def test_a_lost_skin_is_no_stock_from_its_day_on() -> None:
    one = skin("H05", price=35)
    losses.lose(skin=one, on=day(2), reason="slip")
    assert classes(day(1)) == (0, 35, 0, 0, 0)
    assert classes(day(2)) == (0, 0, 0, 0, 35)
    assert stock_value.at(day(2)).total == 0


def test_the_rest_of_a_skin_finished_in_part_is_in_work() -> None:
    skin("H08", price=9)
    finish("H08", pieces=[piece("P1", "1/3")])
    assert classes(DAY) == (0, 0, 6, 3, 0)
    assert stock_value.at(DAY).skins == {"raw": {}, "in_work": {"H08": 6}}


def test_the_part_of_the_finished_pieces_that_stands_at_a_gallery_is_told() -> None:
    for number, shelf in (("A1", "gallery"), ("A2", "shelf")):
        article(number, price=12, place=place(f"The {shelf}", shelf))
    value = stock_value.at(DAY)
    assert (value.finished, value.with_others) == (24, 12)


def test_materials_in_a_batch_without_skins_are_work_begun() -> None:
    put(batch(), material(on_hand=10, value=10), 4)
    assert classes(DAY) == (6, 0, 4, 0, 0)


def test_a_skin_whose_batch_begins_later_is_raw_until_then() -> None:
    skin("H01", price=12)
    work(day(5), batch=batch(tags=["H01"], start=day(2)))
    assert classes(day(4))[1:3] == (12, 0)
    assert classes(day(5))[1:3] == (0, 12)


def test_cents_left_over_by_rounding_are_shown_and_nothing_is_lost() -> None:
    salt = material("SALT", on_hand=1, value="1.00")
    for tag in ("H01", "H02", "H03"):
        skin(tag, price=0)
    bath = batch(tags=["H01", "H02", "H03"])
    put(bath, salt, 1)
    for tag in ("H01", "H02", "H03"):
        finish(tag, on=day(1))
    value = stock_value.at(day(1))
    assert (value.finished, value.sharing) == (D("0.99"), D("0.01"))


def test_an_emptied_shelf_is_not_on_the_sheet() -> None:
    alum = material(on_hand=1, value=4)
    salt = material("SALT", on_hand=1, value=1)
    take(alum, 1, day(1), Kind.SPOILED)
    assert [held.material for held in stock_value.materials(day(1))] == [salt]
    assert [held.value for held in stock_value.materials(DAY)] == [D(4), D(1)]


def test_a_currency_without_small_coins_is_valued_in_whole_ones() -> None:
    workshop.set_up(currency="JPY")
    skin("H08", price=100)
    finish("H08", pieces=[piece(f"P{n}", "1/3") for n in range(3)])
    assert classes(DAY) == (0, 0, 0, 100, 0)


@pytest.mark.thorough
@pytest.mark.slow
def test_the_sheet_takes_as_many_queries_for_thirty_skins_as_for_one() -> None:
    salt = material("SALT", on_hand=1000, value=1000)

    def fill(number: int) -> None:
        skin(f"H{number}")
        skin(f"R{number}")
        put(batch(f"B{number}", tags=[f"H{number}"]), salt, 1)
        finish(f"H{number}")

    fill(0)
    with CaptureQueriesContext(connection) as one:
        stock_value.at(DAY)
    for number in range(1, 31):
        fill(number)
    with CaptureQueriesContext(connection) as many:
        stock_value.at(DAY)
    assert Skin.objects.count() == 62
    assert len(many) == len(one)
