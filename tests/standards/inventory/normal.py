"""Reorder points and their cost where demand is normally distributed: closed forms.

They hold the simulation to the textbook, and a reorder point to its service level. Binary fractions, for nothing here is booked;
what is shown of them is rounded first. Normal demand is smooth: use by the batch is not, so no advice rests on this alone.
Source of all: Snyder and Shen, Fundamentals of Supply Chain Theory, 2nd ed., 2019, ch. 5 and app. C.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

STANDARD = NormalDist()
_CLOSE = 1e-9
_TURNS = 1000


@dataclass(frozen=True)
class Costs:
    """`order`: one order; `holding`, `short`: a unit on the shelf, or missing, for a year; `demand`: units a year."""

    order: float
    holding: float
    short: float
    demand: float

    def __post_init__(self) -> None:
        if min(self.order, self.holding, self.short, self.demand) <= 0:
            raise ValueError(f"Costs and demand must be more than nothing; got {self}.")


def during(mean: float, sd: float, lead: float) -> NormalDist:
    """Demand during a `lead` time, of demand with `mean` and `sd` in one unit of time: lead × mean, root(lead) × sd."""
    return NormalDist(mean * lead, sd * sqrt(lead))


def reorder_point(mean: float, sd: float, *, z: float) -> float:
    """Mean demand of the lead time + safety stock, z × sd.

    >>> reorder_point(515, 25, z=1.64)
    556.0
    """
    if mean < 0 or sd < 0:
        raise ValueError(f"Mean and spread must not be negative; got {mean} and {sd}.")
    return mean + z * sd


def z_for(service: float) -> float:
    """z of a service level: the share of lead times without a shortage. `ValueError` unless between 0 and 1.

    >>> round(z_for(0.95), 4)
    1.6449
    """
    if not 0 < service < 1:
        raise ValueError(f"A service level lies between 0 and 1; got {service}.")
    return STANDARD.inv_cdf(service)


def loss(z: float) -> float:
    """Standard normal loss: what of a standard normal is above z, on average, φ(z) - z × (1 - Φ(z))."""
    return STANDARD.pdf(z) - z * STANDARD.cdf(-z)


def second_loss(z: float) -> float:
    """The loss summed from z on: ((z² + 1) × (1 - Φ(z)) - z × φ(z)) ÷ 2."""
    return ((z * z + 1) * STANDARD.cdf(-z) - z * STANDARD.pdf(z)) / 2


def cost(point: float, quantity: float, demand: NormalDist, costs: Costs) -> float:
    """A year's orders, holding and shortage where `quantity` is ordered whenever `point` is left, counting what is on order.

    (K λ + ∫ g(y) dy from r to r + Q) ÷ Q, with g(y) = h (y - mean) + (h + p) × loss at y. Source: eq. 5.7.
    """
    held = costs.holding * quantity * (point + quantity / 2 - demand.mean)
    missing = _summed(point, demand) - _summed(point + quantity, demand)
    return (costs.order * costs.demand + held + (costs.holding + costs.short) * missing) / quantity


def best_point(quantity: float, demand: NormalDist, costs: Costs) -> float:
    """The reorder point that costs least with `quantity`: where a moment at r costs what one at r + Q does. Source: eq. 5.9."""

    def at(level: float) -> float:
        return costs.holding * (level - demand.mean) + (costs.holding + costs.short) * _lost(level, demand)

    # The least of g lies between r and r + Q.
    lowest = demand.inv_cdf(costs.short / (costs.holding + costs.short))
    return _where(lambda point: at(point) - at(point + quantity), lowest - quantity, lowest)


def by_loss(demand: NormalDist, costs: Costs) -> tuple[float, float]:
    """(r, Q) by the loss functions of Hadley and Whitin 1963, each from the other until both stand. Source: eq. 5.28, 5.29."""
    both = costs.holding + costs.short
    point, quantity = demand.mean, sqrt(2 * costs.order * costs.demand / costs.holding)
    for _ in range(_TURNS):
        asked, before = costs.holding * quantity / both, quantity
        point = _level(asked, demand)
        quantity = sqrt(2 * (costs.order * costs.demand + both * _summed(point, demand)) / costs.holding)
        if abs(quantity - before) < _CLOSE:
            break
    return point, quantity


def by_expected_level(demand: NormalDist, costs: Costs) -> tuple[float, float, float]:
    """(r, Q, cost a year as it takes it) by the expected inventory level. Source: Hadley and Whitin 1963; eq. 5.16 to 5.18.

    `ValueError` where a shortage costs too little for the method: then holding one lot costs more than missing a year's demand.
    """
    point, quantity = demand.mean, sqrt(2 * costs.order * costs.demand / costs.holding)
    for _ in range(_TURNS):
        before = quantity
        point = demand.mean + demand.stdev * z_for(1 - quantity * costs.holding / (costs.short * costs.demand))
        missed = costs.order + costs.short * _lost(point, demand)
        quantity = sqrt(2 * costs.demand * missed / costs.holding)
        if abs(quantity - before) < _CLOSE:
            break
    kept = costs.holding * (point - demand.mean + quantity / 2)
    return point, quantity, kept + costs.demand * missed / quantity


def _lost(level: float, demand: NormalDist) -> float:
    return demand.stdev * loss((level - demand.mean) / demand.stdev)


def _level(asked: float, demand: NormalDist) -> float:
    """Where the loss is as `asked`: below the mean it is more than the distance, forty spreads above it is nothing."""
    low, high = demand.mean - asked - demand.stdev, demand.mean + 40 * demand.stdev
    return _where(lambda level: _lost(level, demand) - asked, low, high)


def _summed(level: float, demand: NormalDist) -> float:
    return demand.variance * second_loss((level - demand.mean) / demand.stdev)


def _where(falling: Callable[[float], float], low: float, high: float) -> float:
    """Where a `falling` function passes nothing, by halving."""
    for _ in range(200):
        middle = (low + high) / 2
        low, high = (middle, high) if falling(middle) > 0 else (low, middle)
    return (low + high) / 2
