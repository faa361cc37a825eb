"""Results of the demonstration year to the cent, and that whatever does not hold is told and not hidden."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.labour.rules import looks_unlogged
from costing.report.year.profit.rules import (
    Gone,
    Selling,
    Stock,
    bridge,
    cash_basis,
    grouped,
    overheads,
    stock_basis,
    unaccounted,
)
from costing.sell.sales.lines.rules import Sold, of_sales, per_hour
from inventory.money import half_up
from tests.costing.report.figures import MAKING_MINUTES, OTHER_HOURS, OVERHEADS, SALES, SELLING, YEAR
from tests.properties import FURTHER

D = Decimal
FEWER = settings(max_examples=40 * FURTHER)
GONE = Gone(sold=D("171.89"), spoiled=D("36.82"), boxes=D("7.97"), differences=D("2.39"))
TURNOVER = sum((sale.taken for _, sale in SALES.values()), D(0))
MONEY = st.integers(-100_000, 100_000).map(lambda cents: Decimal(cents).scaleb(-2))


def test_what_left_the_stock_of_the_year_is_all_accounted_for() -> None:
    assert (YEAR.used, GONE.total, unaccounted(YEAR, GONE)) == (D("219.07"), D("219.07"), D("0.00"))


def test_pieces_rounded_one_by_one_need_what_sharing_left_over() -> None:
    bought_back = {"INV-004", "CN-001", "S-002"}
    sold = sum((half_up(sale.book, 2) for number, (_, sale) in SALES.items() if number not in bought_back), Decimal(0))
    assert sold == D("171.90")
    assert unaccounted(YEAR, replace(GONE, sold=sold)) == D("-0.01")
    assert unaccounted(YEAR, replace(GONE, sold=sold, sharing=D("-0.01"))) == 0


def test_a_thing_that_nobody_wrote_down_is_the_miss() -> None:
    assert unaccounted(YEAR, replace(GONE, differences=D(0))) == D("2.39")


@FEWER
@given(MONEY, MONEY, MONEY, MONEY, MONEY, MONEY, MONEY)
def test_the_identity_holds_exactly_when_the_closing_stock_is_what_is_left(
    opening: Decimal, bought: Decimal, skins: Decimal, sold: Decimal, spoiled: Decimal, own: Decimal, slip: Decimal
) -> None:
    gone = Gone(sold=sold, spoiled=spoiled, own_use=own)
    closing = opening + bought + skins - gone.total
    assert unaccounted(Stock(opening, bought, skins, closing), gone) == 0
    assert unaccounted(Stock(opening, bought, skins, closing - slip), gone) == slip


def test_turnover_and_selling_costs_of_the_year() -> None:
    assert D("1125.90") == TURNOVER
    assert D("254.42") == SELLING.total


def test_both_profits_of_the_year_and_the_bridge_between_them() -> None:
    stock_profit = stock_basis(TURNOVER, YEAR, SELLING, OVERHEADS)
    cash_profit = cash_basis(TURNOVER, YEAR, SELLING, OVERHEADS)
    assert (stock_profit, cash_profit) == (D("268.41"), D("105.48"))
    across = bridge(stock_profit, cash_profit, YEAR.closing - YEAR.opening)
    assert (across.difference, across.stock, across.miss) == (D("162.93"), D("162.93"), D("0.00"))


def test_what_is_owed_at_the_end_is_in_the_bridge() -> None:
    """A gallery that has not paid its 91.00, a deposit of 66.00 taken early and a bill of 20.00 left unpaid."""
    stock_profit = stock_basis(TURNOVER, YEAR, SELLING, OVERHEADS)
    received, paid = TURNOVER - D("91.00") + D("66.00"), replace(YEAR, materials=YEAR.materials - D("20.00"))
    cash_profit = cash_basis(received, paid, SELLING, OVERHEADS)
    stock = YEAR.closing - YEAR.opening
    across = bridge(
        stock_profit, cash_profit, stock, owed_to_me=D("91.00"), deposits=D("66.00"), unpaid_bills=D("20.00")
    )
    assert (across.owed_to_me, across.deposits, across.unpaid_bills) == (D("91.00"), D("-66.00"), D("-20.00"))
    assert across.miss == 0
    assert bridge(stock_profit, cash_profit, stock).miss == D("5.00")


@FEWER
@given(MONEY, MONEY, MONEY, MONEY, MONEY, MONEY, MONEY)
def test_the_bridge_carries_whatever_the_year_was_like(
    turnover: Decimal, bought: Decimal, closing: Decimal, owed: Decimal, deposits: Decimal, bills: Decimal, own: Decimal
) -> None:
    stock = Stock(D(0), bought, D(0), closing)
    stock_profit = stock_basis(turnover, stock, SELLING, OVERHEADS, own_use=own)
    paid = replace(stock, materials=bought - bills)
    cash = cash_basis(turnover - owed + deposits, paid, SELLING, OVERHEADS, own_use=own)
    across = bridge(stock_profit, cash, closing, owed, deposits, bills)
    assert across.miss == 0


def test_what_the_maker_took_is_no_cost_of_the_business() -> None:
    took = stock_basis(D(100), Stock(D(50), D(0), D(0), D(30)), Selling(), D(0), own_use=D(20))
    assert took == D(100)


def test_paid_help_is_bought_into_the_stock_and_paid_in_money() -> None:
    """15.00 of help went into a piece that is sold: it left the stock, and both profits bear it."""
    stock = Stock(D(50), D(20), D(10), D(30), paid_help=D(15))
    assert stock.used == D(65)
    by_cash = cash_basis(D(200), stock, Selling(other=D(5)), D(7), own_use=D(3))
    assert (stock_basis(D(200), stock, Selling(other=D(5)), D(7)), by_cash) == (D(123), D(146))


def test_hours_that_a_credit_took_back_earn_nothing_by_the_hour() -> None:
    assert per_hour(D(-100), D(-4)) is None


def test_an_hour_of_the_year_earns_what_is_left_of_everything() -> None:
    making = Fraction(MAKING_MINUTES, 60)
    assert per_hour(D("268.41"), making + OTHER_HOURS) == D("2.30")
    assert per_hour(D("268.41"), making) == D("3.80")
    assert per_hour(D("268.41"), 0) is None


def test_overheads_of_the_year_are_short() -> None:
    found = overheads([(Fraction(MAKING_MINUTES, 60), D("4.00"))], OVERHEADS)
    assert (found.recovered, found.short, found.over) == (D("282.20"), D("101.80"), D(0))


def test_overheads_can_be_over_as_well() -> None:
    found = overheads([(100, D("4.00"))], D("384.00"))
    assert (found.short, found.over) == (D(0), D("16.00"))


@pytest.mark.parametrize(
    ("number", "left", "hourly", "against_full"),
    [
        ("S-001", "149.77", "18.15", "-16.75"),
        ("INV-001", "155.30", "17.30", "-25.72"),
        ("INV-002", "150.81", "18.85", "-10.71"),
        ("S-003", "190.74", "20.49", "3.06"),
        ("INV-003", "50.55", "7.78", "-80.98"),
        ("S-004", "27.36", "17.28", "-4.31"),
        ("S-005", "83.90", "15.25", "-26.10"),
        ("S-006", "50.76", "8.31", "-72.47"),
    ],
)
def test_each_piece_of_the_year_leaves_what_its_line_says(
    number: str, left: str, hourly: str, against_full: str
) -> None:
    found = of_sales([SALES[number][1]])
    assert (found.left, found.per_hour, found.against_full) == (D(left), D(hourly), D(against_full))


def test_the_slipped_skin_loses_what_it_cost_less_its_salvage() -> None:
    found = of_sales([SALES["S-002"][1]])
    assert (found.left, found.against_full) == (D("-26.82"), D("-75.49"))


def test_a_sale_sent_back_leaves_its_selling_costs() -> None:
    found = of_sales([SALES["INV-004"][1], SALES["CN-001"][1]])
    assert (found.count, found.taken, found.left, found.per_hour) == (2, D("0.00"), D("-10.56"), None)


def test_groups_add_up_to_the_whole_and_the_best_paid_comes_first() -> None:
    sales = [sale for _, sale in SALES.values()]
    by_species, whole = grouped(sales, lambda sale: sale.species), of_sales(sales)
    assert sum(group.taken for group in by_species.values()) == whole.taken == TURNOVER
    assert sum(group.count for group in by_species.values()) == len(SALES)
    hourly = [group.per_hour for group in by_species.values() if group.per_hour is not None]
    assert hourly == sorted(hourly, reverse=True)
    assert list(grouped(sales, lambda sale: sale.fair)) != list(by_species)


def test_a_group_without_hours_comes_last() -> None:
    rows = [Sold("a", D(10), species="none"), Sold("b", D(-5), hours=Fraction(1), species="bad")]
    assert list(grouped(rows, lambda sale: sale.species)) == ["bad", "none"]


def test_groups_that_earn_alike_stand_by_name() -> None:
    rows = [Sold("x", D(10), hours=Fraction(1), species=name) for name in ("goat", "sheep", "calf")]
    assert list(grouped(rows, lambda sale: sale.species)) == ["calf", "goat", "sheep"]


def test_a_group_rounds_once_and_not_each_piece() -> None:
    piece = Sold("third", D("1.00"), book=Fraction(1, 3))
    assert of_sales([piece] * 3).left == D("2.00")


def test_too_few_minutes_are_noticed_from_just_below_the_part() -> None:
    assert looks_unlogged(239, 480)
    assert not looks_unlogged(240, 480)


def test_each_hour_bears_the_rate_of_its_day_and_the_sum_is_rounded_once() -> None:
    found = overheads([(Fraction(1, 3), D("4.00")), (Fraction(1, 3), D("5.00"))], D("2.00"))
    assert (found.recovered, found.over) == (D("3.00"), D("1.00")), "1.333… and 1.666… are 3"


@given(
    rows=st.lists(
        st.tuples(
            st.decimals(-900, 900, places=2),
            st.fractions(0, 99, max_denominator=97),
            st.fractions(0, 900, max_denominator=97),
        ),
        max_size=6,
    )
)
def test_what_is_shown_of_sales_adds_up_to_what_is_shown(rows: list[tuple[Decimal, Fraction, Fraction]]) -> None:
    found = of_sales([Sold("x", taken, selling=selling, book=book) for taken, selling, book in rows])
    assert found.taken - found.selling - found.book == found.left
    exact = sum((Fraction(taken) - selling - book for taken, selling, book in rows), Fraction(0))
    assert found.left == half_up(exact, 2)


def test_nine_of_the_demonstration_reads_as_it_adds_up() -> None:
    """A book cost of 4.645 exactly: 32.00 - 4.64 = 27.36, where each rounded by itself would read 4.65."""
    found = of_sales([Sold("H09", D("32.00"), book=Fraction("4.645"))])
    assert (found.taken, found.selling, found.book, found.left) == (D("32.00"), D("0.00"), D("4.64"), D("27.36"))
