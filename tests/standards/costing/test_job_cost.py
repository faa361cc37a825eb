"""Job cost and overhead against published worked examples."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from costing.make.cost.lines.rules import Line, Stay
from costing.make.cost.rates.rules import Rates
from costing.make.cost.rules import Share, rounded, share_out
from costing.sell.pricing.rules import Channel, floors

DAY = date(2025, 1, 1)

# Sec. 6.1: overhead 2,500,000 over 1,250,000 direct labour hours. Product: hours, units, material, labour, unit cost.
PRODUCTS = {
    "solo": (350_000, 140_000, "3.50", "10.00", "18.50"),
    "band": (400_000, 100_000, "6.00", "2.75", "16.75"),
    "orchestra": (500_000, 250_000, "11.70", "4.30", "20.00"),
}

OVERHEAD, HOURS = Decimal(2_500_000), Decimal(1_250_000)
BY_THE_HOUR = Rates(wage_per_hour=Decimal(0), overhead_per_hour=OVERHEAD / HOURS, frame_wear=Decimal(0))


def product(name: str) -> Share:
    """A product's whole year as one batch: materials bought, labour paid, hours worked."""
    hours, units, material, labour, _ = PRODUCTS[name]
    lines = [
        Line("materials", DAY, money=Decimal(material) * units),
        Line("paid_help", DAY, money=Decimal(labour) * units, minutes=Decimal(hours) * 60, own=False),
    ]
    return share_out(lines, [Stay(name, DAY)], 2)[0][name]


@pytest.mark.parametrize("wage", ["11.00", "16.50", "22.00"])
def test_job_of_sec_4_4_costs_931_whatever_the_hour_is_paid(wage: str) -> None:
    # Sec. 4.4: overhead 250,000 per 100,000 of labour = 2.50 per labour dollar; job MAC001 = 700 + 66 + 165 = 931.
    # A rate per labour dollar is a rate per hour of 2.50 × the hour's wage (DERIVED), so the job must come out for any.
    per_labour_dollar = Decimal(250_000) / Decimal(100_000)
    assert per_labour_dollar == Decimal("2.50")
    hours = Decimal(66) / Decimal(wage)
    rates = Rates(Decimal(wage), per_labour_dollar * Decimal(wage), Decimal(0))
    lines = [Line("materials", DAY, money=Decimal(700)), Line("own_time", DAY, minutes=hours * 60)]
    cost = rounded(share_out(lines, [Stay("MAC001", DAY)])[0]["MAC001"], rates, 2)
    shown = (cost.materials, cost.own_time, cost.overhead, cost.full)
    assert shown == tuple(Decimal(figure) for figure in (700, 66, 165, 931))
    assert cost.book == 700


def test_overhead_rate_of_sec_6_1_is_two_an_hour() -> None:
    # Sec. 6.1: 2,500,000 / 1,250,000 h = 2.00.
    assert BY_THE_HOUR.overhead_per_hour == Decimal("2.00")


@pytest.mark.parametrize("name", PRODUCTS)
def test_unit_costs_of_sec_6_1(name: str) -> None:
    # Sec. 6.1: overhead per unit 5.00, 8.00, 4.00; unit cost 18.50, 16.75, 20.00.
    _, units, _, _, unit_cost = PRODUCTS[name]
    cost = rounded(product(name).times(Fraction(1, units)), BY_THE_HOUR, 2)
    assert cost.overhead == {"solo": Decimal("5.00"), "band": Decimal("8.00"), "orchestra": Decimal("4.00")}[name]
    assert cost.full == Decimal(unit_cost)


@pytest.mark.parametrize("name", PRODUCTS)
def test_the_full_floor_on_a_free_channel_is_the_unit_cost_of_sec_6_1(name: str) -> None:
    # Sec. 6.1 unit costs again: a channel that takes nothing needs exactly the cost.
    unit = product(name).times(Fraction(1, PRODUCTS[name][1]))
    got = floors(unit.book(), unit.own_hours(), Decimal(0), unit.full(BY_THE_HOUR), Channel("counter"), 2)
    assert got.full == Decimal(PRODUCTS[name][4])


def test_the_products_of_sec_6_1_together_bear_the_whole_overhead() -> None:
    # Sec. 6.1: the hours of the three products are all the hours, so nothing is left over.
    together = sum((product(name) for name in PRODUCTS), Share())
    assert together.hours() == HOURS
    assert together.overhead(BY_THE_HOUR) == OVERHEAD
