"""Costs of a year under headings: both totals are turnover less profit; equipment by its life; bills in the bridge."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from costing.report.year import look_again, report as year_report
from costing.report.year.costs.rules import straight_line
from costing.report.year.profit import selectors as results
from costing.sell.bills import services as bills
from costing.sell.expenses import services as expenses
from costing.sell.headings import services as headings
from costing.sell.payments.services import Paid
from inventory.base.accounting import services as workshop
from tests.factories import DAY, article, delivery, line, material, sale, skin, work

D = Decimal
YEAR = DAY.year


@given(st.integers(1, 10**7), st.integers(1, 50), st.integers(0, 3))
def test_the_shares_of_a_life_come_to_its_price(coins: int, life: int, places: int) -> None:
    price = D(coins).scaleb(-places)
    rows = [straight_line(price, life, date(2025, 12, 31), year, places) for year in range(2024, 2026 + life)]
    assert sum(row.share for row in rows) == price
    assert max(row.share for row in rows[1:-1]) - min(row.share for row in rows[1:-1]) <= D(1).scaleb(-places)
    assert (rows[0].left, rows[-1].share, rows[-1].left) == (0, 0, 0)
    assert all(row.before + row.share + row.left == price for row in rows[1:])


def test_equipment_that_was_entered_by_mistake_is_taken_back_in_the_year_it_was_reversed() -> None:
    back = date(2027, 5, 1)
    shares = [straight_line(D(100), 4, DAY, year, 2, undone=back).share for year in range(2025, 2030)]
    assert shares == [25, 25, -50, 0, 0]


def lived_in() -> None:
    workshop.pin_today(on=date(YEAR, 12, 31))
    headings.choose_form(form="US Schedule C (Form 1040)")
    headings.save_kind(code="feed", name="Feed")
    sale(article("A1"), asked=100, paid=[Paid(how="cash")])
    due = delivery(line(material("SALT"), price="30"), due_on=DAY, ref="R3")
    bills.pay(amount=D(10), on=DAY, how="card", delivery=due)
    rent = expenses.spend(kind="rent", amount=D(150), on=DAY, due_on=DAY)
    bills.pay(amount=D(40), on=DAY, expense=rent)
    expenses.spend(kind="equipment", amount=D("1299.99"), on=DAY, life_years=5, due_on=DAY, words="Fleshing machine")
    expenses.spend(kind="vehicle", on=DAY, distance=D(212), unit="mi", rate=D("0.70"))
    expenses.spend(kind="contractor", amount=D(60), on=DAY, person="Ann Lee")
    expenses.spend(kind="contractor", amount=D("40.50"), on=DAY, person="Ann Lee")
    expenses.spend(kind="feed", amount=D(3), on=DAY)
    skin("S1", price=0)
    work(DAY, 30, tags=["S1"], who="Ann Lee", paid=D(9), how="cash")


@pytest.mark.django_db
def test_costs_by_heading_are_turnover_less_profit_both_ways_and_bills_are_in_the_bridge() -> None:
    lived_in()
    year, found = results.year(YEAR), year_report.at(YEAR)
    sums = found.table("costs").sums()
    assert sums["amount"] == year.turnover - year.stock_profit
    assert sums["paid"] == year.received - year.cash_profit
    rows = {row["label"]: (row["amount"], row["paid"]) for row in found.table("costs").rows}
    assert rows["9 Car and truck expenses"] == (D("148.40"), D("148.40"))
    assert rows["11 Contract labor"] == (D("100.50"), D("100.50"))
    assert rows["13 Depreciation"] == (D("259.99"), D("259.99"))
    assert rows["20b Rent: other business property"] == (150, 40)
    assert rows["No heading: Feed"] == (3, 3)
    assert (year.bridge.unpaid_bills, year.bridge.miss) == (-(20 + 110), 0)
    assert found.values("owing")["bills"] == 130
    assert found.table("equipment").rows[0]["left"] == D("1040.00")
    assert found.table("contractors").rows == (
        {"person": "Ann Lee", "costs": D("100.50"), "help": 9, "amount": D("109.50")},
    )
    assert any("Feed" in doubt.words for doubt in look_again.doubts(found, D(16)))


@pytest.mark.django_db
def test_the_next_year_has_the_next_share_and_the_bill_paid_in_it() -> None:
    lived_in()
    workshop.pin_today(on=date(YEAR + 1, 12, 31))
    year = results.year(YEAR + 1)
    assert year.overheads.spent == 260
    assert (year.bridge.unpaid_bills, year.bridge.miss, year.unpaid) == (0, 0, (130, 130))


@pytest.mark.django_db
def test_gross_receipts_stand_apart_from_returns() -> None:
    lived_in()
    found = year_report.at(YEAR).values("turnover")
    assert found["gross"] + found["returns"] == found["net"]  # type: ignore[operator]


@pytest.mark.django_db
def test_the_steps_of_the_fall_come_to_the_profit() -> None:
    lived_in()
    (_, first), *steps, (_, last) = next(each for each in year_report.at(YEAR).sections if each.name == "fall").points  # type: ignore[union-attr]
    assert first + sum(value for _, value in steps) == last
