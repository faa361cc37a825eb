"""Reorder points against textbooks and a library.

Sources. Snyder and Shen, Fundamentals of Supply Chain Theory, 2nd ed., Wiley 2019, examples 4.3, 5.1, 5.2, 5.5 and 5.6: their
figures as stockpyl 1.0.2 (MIT) prints and reproduces them, and its answers to cases drawn for this test (`ask_stockpyl`). A
course's solution sheet of end-of-chapter problems in operations management (its book's title is from memory); it takes z as
1.64. Quantiles of the standard normal: scipy.
"""

from __future__ import annotations

from fractions import Fraction
from math import isclose, sqrt

import pytest

from inventory.foresight import lot_size
from tests.standards.inventory import normal
from tests.standards.inventory.answered import answers

# Examples 5.1 to 5.6: 1300 a year with a spread of 150, a month to wait; h 0.225, p 7.5, K 8.
COSTS = normal.Costs(order=8, holding=0.225, short=7.5, demand=1300)
MONTH = normal.during(1300, 150, 1 / 12)


def near(value: float, figure: float, within: float = 1e-6) -> bool:
    return isclose(value, figure, rel_tol=within, abs_tol=within)


def safe_point(demand: normal.NormalDist, costs: normal.Costs) -> float:
    """The reorder point whose service is short ÷ (holding + short), as a newsvendor has it."""
    z = normal.z_for(costs.short / (costs.holding + costs.short))
    return normal.reorder_point(demand.mean, demand.stdev, z=z)


@pytest.mark.parametrize(
    ("service", "z"),
    [(0.90, 1.2815515655), (0.95, 1.6448536270), (0.975, 1.9599639845), (0.98, 2.0537489106), (0.99, 2.3263478740)],
)
def test_z_of_a_service_level(service: float, z: float) -> None:
    """Standard normal quantiles, scipy."""
    assert near(normal.z_for(service), z, 1e-9)


def test_a_reorder_point_with_safety_stock() -> None:
    """The solution sheet: 515 in the lead time with a spread of 25 is 556 with z = 1.64."""
    assert normal.reorder_point(515, 25, z=1.64) == 556
    # The sheet's refrigerators: 500 a year, a week to wait, z × spread 1.88 × 10, so R = 28.39.
    assert round(normal.reorder_point(500 / 365 * 7, 10, z=1.88), 2) == 28.39


def test_the_loss_of_a_standard_normal() -> None:
    """stockpyl's documented case, which is the table value of Snyder and Shen, app. C."""
    assert near(normal.loss(1.3), 0.0455279621, 1e-9)


def test_example_4_3_one_season() -> None:
    """Snyder and Shen, example 4.3: h 0.18, p 0.70, demand 50 with a spread of 8: stock 56.604, cost 1.9976."""
    season = normal.NormalDist(50, 8)
    stock = safe_point(season, normal.Costs(order=1, holding=0.18, short=0.70, demand=50))
    assert near(stock, 56.6039559274)
    missing = 8 * normal.loss((stock - 50) / 8)
    assert near(0.18 * (stock - 50) + (0.18 + 0.70) * missing, 1.9976051932)


def test_example_5_1_cost_of_a_point_and_a_quantity() -> None:
    assert near(normal.cost(126.8, 328.5, MONTH, COSTS), 78.0711625093, 1e-9)


def test_example_5_2_best_point() -> None:
    """The library stops where the two costs differ by a millionth, so its point is good to some five digits after the point."""
    assert near(normal.best_point(300, MONTH, COSTS), 129.4272799263)
    quantity, _ = lot_size.eoq_backlog(8, Fraction("0.225"), Fraction("7.5"), 1300)
    assert near(float(quantity), 308.5737801204, 1e-9)
    assert near(normal.best_point(float(quantity), MONTH, COSTS), 128.6378144243)


def test_example_5_2_expected_level() -> None:
    point, quantity, cost = normal.by_expected_level(MONTH, COSTS)
    assert near(point, 213.9704417)
    assert near(quantity, 318.5901810769)
    assert near(cost, 95.4511402)


def test_example_5_5_economic_order_quantity_with_safety_stock() -> None:
    assert near(safe_point(MONTH, COSTS), 190.3369965716, 1e-9)
    assert near(float(lot_size.eoq(8, Fraction("0.225"), 1300)), 304.0467800264, 1e-9)


def test_example_5_6_loss_functions() -> None:
    point, quantity = normal.by_loss(MONTH, COSTS)
    assert near(point, 126.8670634480)
    assert near(quantity, 328.4491421980)
    # Nothing near it is cheaper.
    best = normal.cost(point, quantity, MONTH, COSTS)
    assert all(
        normal.cost(point + some, quantity + more, MONTH, COSTS) >= best for some in (-1, 0, 1) for more in (-1, 0, 1)
    )


def asked(name: str) -> list[tuple[list[float], normal.NormalDist, normal.Costs, list[float]]]:
    """What stands before the costs, the demand of the lead time, the costs, and the library's answer."""
    found = []
    for arguments, answer in answers(name):
        before = arguments[:-6]
        holding, short, order, mean, spread, lead = arguments[-6:]
        found.append((before, normal.during(mean, spread, lead), normal.Costs(order, holding, short, mean), answer))
    return found


def test_the_library_finds_the_same_cost() -> None:
    for (point, quantity), demand, costs, answer in asked("r_q_cost"):
        # It sums the integral by steps.
        assert near(normal.cost(point, quantity, demand, costs), answer)  # type: ignore[arg-type]


def test_the_library_finds_the_same_points() -> None:
    for (quantity, holding, short, mean, spread, lead), point in answers("r_q_optimal_r_for_q"):
        demand, costs = normal.during(mean, spread, lead), normal.Costs(1, holding, short, mean)
        assert near(normal.best_point(quantity, demand, costs), point, 1e-5)
    for _, demand, costs, (point, quantity) in asked("r_q_eoqb_approximation"):
        both = costs.holding * costs.short / (costs.holding + costs.short)
        assert near(sqrt(2 * costs.order * costs.demand / both), quantity)
        assert near(normal.best_point(quantity, demand, costs), point, 1e-5)
    for _, demand, costs, (point, quantity) in asked("r_q_eoqss_approximation"):
        assert near(safe_point(demand, costs), point)
        assert near(float(lot_size.eoq(*map(Fraction, (costs.order, costs.holding, costs.demand)))), quantity)
    for _, demand, costs, answer in asked("r_q_loss_function_approximation"):
        assert all(near(ours, theirs) for ours, theirs in zip(normal.by_loss(demand, costs), answer, strict=True))
    for _, demand, costs, answer in asked("r_q_eil_approximation"):
        ours = normal.by_expected_level(demand, costs)
        assert all(near(each, theirs) for each, theirs in zip(ours, answer, strict=True))


def test_the_library_finds_the_same_losses() -> None:
    for (z,), (above, _) in answers("standard_normal_loss"):
        assert near(normal.loss(z), above, 1e-9)
    for (z,), (above, _) in answers("standard_normal_second_loss"):
        assert near(normal.second_loss(z), above, 1e-9)
