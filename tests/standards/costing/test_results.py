"""Profit, overhead, break-even and stock value against published figures."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from costing.report.valuation.stock_sheet.rules import Counted, Group, realisable, sheet
from costing.report.year.profit.rules import Gone, Selling, Stock, overheads, stock_basis, unaccounted
from costing.sell.fairs.rules import FairDay, break_even, result
from costing.sell.pricing.rules import Channel, Footing, earned_per_hour, meaning

D = Decimal
NONE = Selling()

# Source: OpenStax, Principles of Accounting, Volume 1: Financial Accounting (2019), sec. 10.3, perpetual: open 150 @ 21,
# buy 225 @ 27 and 210 @ 33, revenue 11,340. Ending value, cost of goods sold and gross margin by method.
OPENING, BOUGHT, REVENUE = D(150 * 21), D(225 * 27 + 210 * 33), D(11_340)


@pytest.mark.parametrize(
    ("ending", "sold", "margin"),
    [
        ("8955", "7200", "4140"),  # first in, first out
        ("8902", "7253", "4087"),  # moving average, as the book rounds it
        ("8895", "7260", "4080"),  # specific identification; the margin is DERIVED
    ],
)
def test_gross_margin_of_sec_10_3_is_the_stock_basis_without_other_costs(ending: str, sold: str, margin: str) -> None:
    stock = Stock(OPENING, BOUGHT, D(0), D(ending))
    assert stock.used == D(sold)
    assert unaccounted(stock, Gone(sold=D(sold))) == 0
    assert stock_basis(REVENUE, stock, NONE, D(0)) == D(margin)


@pytest.mark.parametrize(
    ("spent", "hours", "rate", "short", "over"),
    [
        # Source: OpenStax, Volume 2: Managerial Accounting, sec. 4.6: applied 250,000 (2.50 × 100,000), actual 256,500
        # and 248,000; 6,240 h at 33.50 against 209,250 actual.
        ("256500", "100000", "2.50", "6500", "0"),
        ("248000", "100000", "2.50", "0", "2000"),
        ("209250", "6240", "33.50", "210", "0"),
    ],
)
def test_overhead_short_and_over_of_sec_4_6(spent: str, hours: str, rate: str, short: str, over: str) -> None:
    found = overheads([(D(hours), D(rate))], D(spent))
    assert (found.short, found.over) == (D(short), D(over))
    assert found.recovered == D(spent) - D(short) + D(over)


def test_break_even_of_sec_3_2() -> None:
    # Source: OpenStax, Volume 2, sec. 3.2: price 100, variable cost 20, fixed cost 18,000: 225 units, 22,500.
    assert break_even(D(18_000), Fraction(20, 100)) == D("22500.00")
    assert result(FairDay(D(100), 20, pitch=D(18_000))).break_even == D("22500.00")


@pytest.mark.parametrize(("units", "income"), [(225, "0"), (175, "-4000")])
def test_income_of_sec_3_2_is_what_a_day_leaves(units: int, income: str) -> None:
    # Source: OpenStax, Volume 2, sec. 3.2: 225 units leave 0, 175 units lose 4,000.
    assert result(FairDay(D(100 * units), 20 * units, pitch=D(18_000))).left == D(income)


@pytest.mark.parametrize("variable_cost", ["0", "100", "2750.50"])
@pytest.mark.parametrize(("contribution", "hours", "per_hour"), [("400", "4", "100"), ("150", "1", "150")])
def test_what_an_hour_earns_ranks_as_the_contribution_per_hour_of_a_scarce_resource(
    contribution: str, hours: str, per_hour: str, variable_cost: str
) -> None:
    # Source: K. Heisinger and J. B. Hoyle, Accounting for Managers (v. 1.0), sec. 6.5, read in a public copy: a unit that takes
    # 4 labour hours brings 100 an hour, one that takes 1 hour 150, and is made first though it brings less a unit. The
    # contribution of a unit is derived (4 x 100 and 1 x 150); its price and variable cost are not asserted.
    sold = meaning(D(contribution) + D(variable_cost), Footing(), Channel("direct"), 2)
    assert earned_per_hour(sold, D(variable_cost), Fraction(hours), 2) == D(per_hour)


def test_lower_of_cost_and_net_realisable_value_is_taken_item_by_item() -> None:
    # Source: a practice question of the Association of Accounting Technicians, as quoted in its public forum (discussion
    # 36017): cost 400, 572, 615; cost to complete 180, 210, 173; price 562, 798, 762; answer 1,543 = 382 + 572 + 589.
    # The rule: IAS 2 par. 6 and 9.
    rows = [(400, 180, 562), (572, 210, 798), (615, 173, 762)]
    lines = [
        Counted(Group.IN_WORK, str(cost), D(1), "piece", D(cost), realisable(price, to_complete=to_come))
        for cost, to_come, price in rows
    ]
    found = sheet(lines)
    assert [row.lower for row in found.lines] == [382, 572, 589]
    assert (found.total.lower, found.total.value) == (1543, 1587)


def test_customers_property_is_no_stock() -> None:
    # Common practice, no source: what belongs to a customer is listed and valued at nil.
    assert sheet([Counted(Group.CUSTOMERS, "hide", D(1), "piece", D(99))]).total.value == 0
