"""The simulated lead time against exact distributions."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from statistics import NormalDist

import numpy as np
import pytest

from inventory.foresight.demand import Habit, Usual
from inventory.foresight.rules import forecast
from inventory.foresight.simulation import Stream, run
from inventory.foresight.supply import Lead, Parcel, Supply

ON = date(2026, 1, 1)
MANY = 100_000

# Daily demand of 0, 1, 2, 3 with .1, .2, .3, .4 over a lead time of 1, 2, 3 days with .1, .5, .4: a textbook exercise; its
# distribution by exact convolution (reference figures, intermittent_demand.csv, ltd.exercise).
EXACT = ("0.0154", "0.0578", "0.1462", "0.3086", "0.4780", "0.6676", "0.8352", "0.9168", "0.9744", "1")
LEAD = (1, *[2] * 5, *[3] * 4)


def days_of(*probabilities: tuple[int, int]) -> tuple[int, ...]:
    return tuple(value for value, times in probabilities for _ in range(times))


def daily() -> Habit:
    """A day without demand is a pause of one day more, with one chance in ten."""
    gaps = days_of((1, 9000), (2, 900), (3, 90), (4, 9), (5, 1))
    sizes = tuple(Decimal(value) for value in days_of((1, 2), (2, 3), (3, 4)))
    return Habit(gaps, sizes, ON, Fraction(2), Fraction(1))


def test_the_bootstrap_of_own_use_over_the_lead_time_converges_to_the_convolution() -> None:
    seen = run((), (), (), [Stream(daily(), [1.0] * 3, fresh=True)], ON, 3, origin=7, paths=MANY)
    lead = np.resize(np.array(LEAD), MANY)
    demand = seen.used[lead, np.arange(MANY)] / 1000
    for most, chance in enumerate(EXACT):
        # Three standard errors of a share from 100,000 draws, and the pauses cut after five days.
        assert float((demand <= most).mean()) == pytest.approx(float(chance), abs=0.0055)
    assert float(demand.mean()) == pytest.approx(4.6, abs=0.02)


def normal(mean: float, deviation: float) -> Habit:
    spread = NormalDist(mean, deviation)
    sizes = tuple(Decimal(str(round(spread.inv_cdf((at + 0.5) / 999), 3))) for at in range(999))
    return Habit((1,), sizes, ON, Fraction(str(mean)), Fraction(1))


@pytest.mark.parametrize(("service", "z"), [(Fraction(95, 100), 1.6449), (Fraction(99, 100), 2.3263)])
def test_the_reorder_point_on_normal_demand_is_the_closed_form(service: Fraction, z: float) -> None:
    # Lead-time demand of 515 with a deviation of 25, as in the textbook's reorder point of 556 (z = 1.64): 25 days of 20.6 and 5.
    supply = Supply((Parcel(Decimal(2000)),), lead=Lead((25,)))
    seen = forecast(supply, (), Usual(Habit(), normal(20.6, 5)), ON, service=service, origin=3)
    # Of 1,000 paths the quantile scatters by about two in both tails.
    assert float(seen.reorder_point) == pytest.approx(515 + z * 25, abs=5)
