"""Reorder points under normal demand hold together, and refuse what cannot be."""

from __future__ import annotations

from math import isclose

import pytest
from hypothesis import given, strategies as st

from tests.standards.inventory import normal

COSTS = normal.Costs(order=8, holding=0.225, short=7.5, demand=1300)
MONTH = normal.during(1300, 150, 1 / 12)


def test_a_lead_time_of_four_days_has_four_times_the_mean_and_twice_the_spread() -> None:
    assert normal.during(10, 3, 4) == normal.NormalDist(40, 6)


def test_without_spread_the_reorder_point_is_the_mean() -> None:
    assert normal.reorder_point(40, 0, z=normal.z_for(0.95)) == 40


@pytest.mark.parametrize("service", [0, 1, -0.1, 1.5])
def test_a_service_level_lies_between_nothing_and_all(service: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        normal.z_for(service)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="must not be negative"):
        normal.reorder_point(-1, 5, z=1)
    with pytest.raises(ValueError, match="must not be negative"):
        normal.reorder_point(1, -5, z=1)
    with pytest.raises(ValueError, match="more than nothing"):
        normal.Costs(order=8, holding=0, short=7.5, demand=1300)
    # Missing a year's demand costs less than holding one lot.
    with pytest.raises(ValueError, match="between 0 and 1"):
        normal.by_expected_level(MONTH, normal.Costs(order=8, holding=0.225, short=0.01, demand=1300))


@given(st.floats(-6, 6))
def test_the_losses_are_what_lies_above(z: float) -> None:
    step = 0.01
    above = sum((at - z) * normal.STANDARD.pdf(at) * step for at in (z + step * (turn + 0.5) for turn in range(1600)))
    assert isclose(normal.loss(z), above, abs_tol=1e-4)
    summed = sum(normal.loss(z + step * (turn + 0.5)) * step for turn in range(1600))
    assert isclose(normal.second_loss(z), summed, abs_tol=1e-3)


@given(st.floats(10, 1000), st.floats(-50, 50))
def test_no_other_point_costs_less(quantity: float, away: float) -> None:
    best = normal.best_point(quantity, MONTH, COSTS)
    assert normal.cost(best, quantity, MONTH, COSTS) <= normal.cost(best + away, quantity, MONTH, COSTS) + 1e-9
