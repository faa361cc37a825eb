"""Lot sizes against textbooks and a library.

Sources. Snyder and Shen, Fundamentals of Supply Chain Theory, 2nd ed., Wiley 2019: examples 3.1, 3.8 and 3.9, their figures as
stockpyl 1.0.2 (MIT) prints and reproduces them. The library itself: its documented cases of both discount models and of joint
replenishment, and its answers to cases drawn for this test (`ask_stockpyl`). A course's solution sheet of end-of-chapter
problems in operations management, of the Chase and Jacobs kind (the book's title is from memory, so nothing rests on it).
In both discount models the holding cost is a rate of the unit price, and the total includes what the goods cost.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.foresight import lot_size
from inventory.money import half_up
from tests.standards.inventory.answered import answers, exact

HOLDING = Fraction("0.225")
FIRST = date(2026, 1, 1)


def near(value: Fraction, figure: float | str, places: int = 6) -> bool:
    """The same to `places` after the point, or to a part in ten million where the figure is large."""
    return abs(value - Fraction(str(figure))) <= max(Fraction(1, 10**places), abs(value) / 10**7)


def orders_of(needs: list[int], order_cost: Fraction, holding: Fraction) -> tuple[list[int], Fraction]:
    """Our orders for needs a day apart, and what they cost, counted from the shelf at each night."""
    dated = [(FIRST + timedelta(at), Decimal(need)) for at, need in enumerate(needs)]
    orders = [int(order) for order in lot_size.wagner_whitin(dated, order_cost, holding)]
    shelf, cost = 0, Fraction(0)
    for order, need in zip(orders, needs, strict=True):
        shelf += order - need
        assert shelf >= 0
        cost += order_cost * bool(order) + holding * shelf
    return orders, cost


def test_example_3_1_economic_order_quantity() -> None:
    """Snyder and Shen, example 3.1: K 8, h 0.225, 1300 a year."""
    quantity = lot_size.eoq(8, HOLDING, 1300)
    assert near(quantity, "304.0467800264")
    assert near(lot_size.eoq_cost(quantity, 8, HOLDING, 1300), "68.4105255059")
    # Derived from the same data, at an order of 200.
    assert lot_size.eoq_cost(200, 8, HOLDING, 1300) == Fraction("74.5")


def test_example_3_8_economic_order_quantity_where_work_may_wait() -> None:
    """Snyder and Shen, example 3.8: p 5."""
    quantity, waiting = lot_size.eoq_backlog(8, HOLDING, 5, 1300)
    assert near(quantity, "310.8125551590")
    assert near(waiting, "0.0430622010")
    assert near(2 * 8 * 1300 / quantity, "66.9213635510")


def test_example_3_9_orders_for_dated_needs() -> None:
    """Snyder and Shen, example 3.9: K 500, h 2."""
    assert orders_of([90, 120, 80, 70], Fraction(500), Fraction(2)) == ([210, 0, 150, 0], 1380)


@pytest.mark.parametrize(
    ("order_cost", "rate", "demand", "breaks", "further", "quantity", "cost"),
    [
        # stockpyl's documented cases; the first is won by the break itself.
        (200, "0.20", 1000, [(0, 500), (200, 475), (500, 450)], False, "500", "472900"),
        (150, "0.25", 2400, [(0, 100), (300, 90), (600, 80)], True, "1481.8906842274", "222762.8136845"),
        # Snyder and Shen's data of the discount examples (their number is from memory), reproduced with stockpyl.
        (8, "0.3", 1300, [(0, "0.75"), (400, "0.72"), (800, "0.68")], False, "800", "978.60"),
        (8, "0.3", 1300, [(0, "0.75"), (400, "0.72"), (800, "0.68")], True, "304.0467800264", "1043.4105"),
    ],
)
def test_price_breaks_with_holding_as_a_rate_of_the_price_and_the_goods_in_the_cost(
    order_cost: int, rate: str, demand: int, breaks: list[tuple[int, str]], further: bool, quantity: str, cost: str
) -> None:
    exactly = [(start, Fraction(price)) for start, price in breaks]
    lot, year = lot_size.eoq_with_breaks(order_cost, Fraction(rate), demand, exactly, further=further)
    assert near(lot, quantity)
    assert near(year, cost, 4)


def test_joint_replenishment() -> None:
    """stockpyl's documented case of Silver's heuristic: K 600; k 120, 840, 300; h 160, 20, 50; one of each a year."""
    goods = [lot_size.Good(120, 160, 1), lot_size.Good(840, 20, 1), lot_size.Good(300, 50, 1)]
    rhythm = lot_size.joint(600, goods)
    assert rhythm.multiples == (1, 3, 1)
    assert near(rhythm.cycle, "3.1031644542")
    assert near(rhythm.cost, "837.8544026")


def test_the_sheets_lot_and_its_costs() -> None:
    """The solution sheet: 25 750 a year, 3.30 to hold, 250 an order (both recovered from its costs)."""
    holding = Fraction("3.30")
    assert half_up(lot_size.eoq(250, holding, 25750), 2) == Decimal("1975.23")
    assert half_up(holding * 1975 / 2, 2) == Decimal("3258.75")
    assert half_up(lot_size.eoq_cost(1975, 250, holding, 25750), 2) == Decimal("3258.75") + Decimal("3259.49")
    assert lot_size.eoq_cost(2000, 250, holding, 25750) == Fraction("6518.75")
    # Fifty less an order at 2000 saves 643.24 against 1975.
    assert half_up(
        lot_size.eoq_cost(1975, 250, holding, 25750) - lot_size.eoq_cost(2000, 200, holding, 25750), 2
    ) == Decimal("643.24")


def test_the_library_finds_the_same_lots() -> None:
    for (order_cost, holding, demand), (quantity, cost) in answers("economic_order_quantity"):
        ours = lot_size.eoq(exact(order_cost), exact(holding), exact(demand))
        assert near(ours, quantity)
        assert near(lot_size.eoq_cost(ours, exact(order_cost), exact(holding), exact(demand)), cost)
    for arguments, (quantity, share, cost) in answers("economic_order_quantity_with_backorders"):
        order_cost, holding, short, demand = (exact(each) for each in arguments)
        ours, waiting = lot_size.eoq_backlog(order_cost, holding, short, demand)
        assert near(ours, quantity)
        assert near(waiting, share)
        assert near(2 * order_cost * demand / ours, cost)


@pytest.mark.parametrize("further", [False, True])
def test_the_library_takes_the_same_price_breaks(further: bool) -> None:
    kind = "incremental" if further else "all_units"
    for (order_cost, rate, demand, starts, prices), (quantity, _, cost) in answers(
        f"economic_order_quantity_with_{kind}_discounts"
    ):
        breaks = [(exact(start), exact(price)) for start, price in zip(starts, prices, strict=True)]
        ours, year = lot_size.eoq_with_breaks(exact(order_cost), exact(rate), exact(demand), breaks, further=further)
        assert near(year, cost)
        assert near(ours, quantity)


def test_the_library_finds_no_cheaper_orders_for_dated_needs() -> None:
    for (_, holding, order_cost, needs), (_, cost) in answers("wagner_whitin"):
        assert near(orders_of(needs, exact(order_cost), exact(holding))[1], cost)


def test_the_library_finds_the_same_rhythm() -> None:
    for (order_cost, own, holding, demand), (_, cycle, multiples, cost) in answers(
        "joint_replenishment_problem_silver_heuristic"
    ):
        goods = [lot_size.Good(*(exact(each) for each in good)) for good in zip(own, holding, demand, strict=True)]
        rhythm = lot_size.joint(exact(order_cost), goods)
        assert rhythm.multiples == tuple(multiples)
        assert near(rhythm.cycle, cycle)
        assert near(rhythm.cost, cost)
