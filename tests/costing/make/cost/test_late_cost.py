from __future__ import annotations

from decimal import Decimal

import pytest

from costing.make.batches.issues import services as batches
from costing.make.cost import services as cost
from costing.make.cost.rates import services as rates
from costing.make.labour import services as labour
from costing.models import ArticleCost
from costing.report.audit import selectors as audit
from costing.report.valuation import selectors as stock_value
from costing.sell.pricing import selectors as prices
from inventory.ledger import services as ledger
from inventory.models import Article
from tests.factories import DAY, batch, days_from, finish, material, piece, put, skin, work

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def figures(number: str) -> tuple[Decimal, Decimal, Decimal]:
    """Frozen, late, standing."""
    article = Article.objects.select_related("cost").get(number=number)
    return article.cost.book, article.cost.late_book, article.book_cost


def clean() -> None:
    assert audit.findings() == []


def test_a_cost_written_after_finishing_is_shown_as_late() -> None:
    skin("H01", price=12)
    finish("H01")
    put(None, material(on_hand=1, value="1.25"), 1, day(1), tags=["H01"])
    assert figures("A-H01") == (D(12), D("1.25"), D("13.25"))
    clean()


def test_late_work_raises_the_full_cost_at_the_rates_of_the_finishing() -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
    skin("H01", price=12)
    finish("H01")
    rates.set_rates(wage_per_hour=D(99))
    work(day(1), 30, tags=["H01"])
    row = ArticleCost.objects.get()
    assert (row.full, row.late_full, row.late_book) == (D(12), D(10), 0)
    clean()


def test_the_last_piece_out_bears_a_late_cost_of_the_batch() -> None:
    for tag in ("H01", "H02"):
        skin(tag, price=0)
    bath = batch(tags=["H01", "H02"])
    work(batch=bath)
    finish("H01", on=day(1))
    finish("H02", on=day(2))
    put(bath, material(on_hand=1, value="3.00"), 1, day(3))
    assert (figures("A-H01")[1], figures("A-H02")[1]) == (0, D(3))
    clean()


def test_a_late_cost_dated_before_finishing_goes_to_all_who_were_there() -> None:
    for tag in ("H01", "H02"):
        skin(tag, price=0)
    bath = batch(tags=["H01", "H02"])
    work(batch=bath)
    finish("H01", on=day(1))
    put(bath, material(on_hand=1, value="3.01"), 1, day(1))
    finish("H02", on=day(2))
    assert (figures("A-H01")[1:], figures("A-H02")[0]) == ((D("1.51"), D("1.51")), D("1.51"))
    clean()


def test_pieces_of_one_skin_share_a_late_cost_to_the_cent() -> None:
    skin("H08", price="37.85")
    finish("H08", pieces=[piece(f"P{n}", "1/3") for n in range(1, 4)])
    put(None, material(on_hand=1, value="1.00"), 1, day(1), tags=["H08"])
    standing = [figures(f"P{n}") for n in range(1, 4)]
    assert sum(late for _, late, _ in standing) == D("1.00")
    assert sum(book for _, _, book in standing) == D("38.85")
    clean()


def test_a_late_cost_taken_back_is_no_cost() -> None:
    skin("H01", price=12)
    finish("H01")
    use = put(None, material(on_hand=1, value="1.25"), 1, day(1), tags=["H01"])
    line = work(day(1), tags=["H01"], paid=D(8))
    assert figures("A-H01")[1] == D("9.25")
    batches.reverse(use=use, reason="wrong skin")
    labour.reverse(line=line)
    assert figures("A-H01") == (D(12), 0, D(12))
    clean()


def test_a_cost_frozen_and_then_taken_back_is_late_below_nothing() -> None:
    skin("H01", price=12)
    use = put(None, material(on_hand=1, value="1.25"), 1, tags=["H01"])
    finish("H01", on=day(1))
    batches.reverse(use=use, reason="wrong skin", on=day(2))
    assert figures("A-H01") == (D("13.25"), D("-1.25"), D(12))
    clean()


def test_floors_stand_on_the_cost_with_what_came_late() -> None:
    skin("H01", price=12)
    finish("H01")
    put(None, material(on_hand=1, value="1.25"), 1, day(1), tags=["H01"])
    price = prices.find("A-H01", prices.NO_CHANNEL)
    assert (price.cost.book, price.late_book, price.book, price.floors.cash) == (
        D(12),
        D("1.25"),
        D("13.25"),
        D("13.25"),
    )


def test_the_floors_that_pay_hours_and_overhead_stand_on_late_work_too() -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
    skin("H01", price=12)
    work(minutes=60, tags=["H01"])
    finish("H01")
    work(day(1), 30, tags=["H01"])
    work(day(1), 60, tags=["H01"], paid=D(8))
    price = prices.find("A-H01", prices.NO_CHANNEL)
    # Late: 8 of help, half an hour of the owner's at 16, and an hour and a half of overhead at 4.
    assert (price.cost.full, price.late_book, price.late_full, price.full) == (D(32), D(8), D(22), D(54))
    assert (price.floors.cash, price.floors.full) == (D(20), D(54))


def test_value_is_conserved_from_shelf_to_finished_piece() -> None:
    alum = material(on_hand=3, value="10.00")
    for tag in ("H01", "H02", "H03"):
        skin(tag, price="12.34")
    bath = batch(tags=["H01", "H02", "H03"])
    put(bath, alum, 1)
    finish("H01", on=day(1))
    put(bath, alum, 1, day(2))
    finish("H02", on=day(3))
    ledger.count(on=day(3), material=alum, counted=D(1000))
    value = stock_value.at(day(3))
    assert value.consumables + value.in_work + value.finished + value.sharing == D("47.02")
    clean()


def test_late_costs_of_many_entries_are_those_of_each() -> None:
    for tag in ("H01", "H02", "H03"):
        skin(tag, price=0)
    bath = batch(tags=["H01", "H02"])
    work(batch=bath)
    finish("H01", on=day(1))
    finish("H03", on=day(1))
    salt = material(on_hand=9, value="9.00")
    with cost.at_once():
        put(bath, salt, 1, day(0))
        put(None, salt, 3, day(2), tags=["H03"])
        assert figures("A-H01") == figures("A-H03") == (0, 0, 0)
    assert figures("A-H01") == (0, D("0.50"), D("0.50"))
    assert figures("A-H03") == (0, D(3), D(3))
    clean()
