"""Which sales count against a limit, on which day, and when it was passed."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.errors import NotAbove
from costing.report.year import selectors as years
from costing.report.year.turnover.rules import Span, first_day, standing
from costing.sell.sales.credits import services as credits
from costing.sell.sales.terms import services as terms
from tests import factories as make
from tests.costing.report.figures import SALES
from tests.properties import FURTHER

D = Decimal
FEWER = settings(max_examples=40 * FURTHER)
YEAR_SALES = [(on, sale.taken) for on, sale in SALES.values()]


def test_turnover_of_the_year_is_net_of_its_credit() -> None:
    assert standing(YEAR_SALES, date(2025, 12, 31), D(20_000), Span.CALENDAR_YEAR).turnover == D("1125.90")
    assert standing(YEAR_SALES, date(2025, 12, 10), D(20_000), Span.CALENDAR_YEAR).turnover == D("1165.80")


def test_twelve_months_running_look_back_over_the_new_year() -> None:
    found = standing(YEAR_SALES, date(2026, 4, 12), D(20_000), Span.TWELVE_MONTHS)
    assert (found.first, found.turnover) == (date(2025, 4, 13), D("955.90"))
    assert standing(YEAR_SALES, date(2026, 4, 12), D(20_000), Span.CALENDAR_YEAR).turnover == 0


@pytest.mark.parametrize(
    ("on", "first"),
    [
        (date(2025, 12, 31), date(2025, 1, 1)),
        (date(2025, 2, 28), date(2024, 3, 1)),
        (date(2024, 2, 28), date(2023, 3, 1)),
        (date(2024, 2, 29), date(2023, 3, 1)),
        (date(2025, 1, 31), date(2024, 2, 1)),
    ],
)
def test_twelve_months_to_a_months_end_are_whole_months(on: date, first: date) -> None:
    assert first_day(Span.TWELVE_MONTHS, on) == first


@FEWER
@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)))
def test_twelve_months_are_never_more_than_a_year(on: date) -> None:
    days = (on - first_day(Span.TWELVE_MONTHS, on)).days + 1
    assert days in (365, 366)


def test_a_limit_is_passed_when_it_is_exceeded_not_when_it_is_met() -> None:
    sales = [(date(2025, 4, 12), D(300)), (date(2025, 7, 5), D(100)), (date(2025, 8, 1), D("0.01"))]
    met = standing(sales, date(2025, 7, 31), D(400), Span.CALENDAR_YEAR)
    assert (met.passed_on, met.left, met.used_percent) == (None, D(0), D("100.0"))
    assert standing(sales, date(2025, 12, 31), D(400), Span.CALENDAR_YEAR).passed_on == date(2025, 8, 1)


@pytest.mark.parametrize("span", Span)
def test_the_first_and_the_last_day_of_a_span_count(span: Span) -> None:
    on = date(2025, 12, 31)
    sales = [(date(2024, 12, 31), D(1)), (date(2025, 1, 1), D(20)), (on, D(300)), (date(2026, 1, 1), D(4000))]
    found = standing(sales, on, D(19), span)
    assert (found.turnover, found.passed_on) == (D(320), date(2025, 1, 1))


def test_a_limit_once_passed_stays_passed_though_a_credit_follows() -> None:
    sales = [(date(2025, 5, 1), D(500)), (date(2025, 5, 20), D(-200))]
    found = standing(sales, date(2025, 12, 31), D(400), Span.CALENDAR_YEAR)
    assert (found.turnover, found.left, found.passed_on) == (D(300), D(100), date(2025, 5, 1))


def test_running_months_may_pass_a_limit_that_no_calendar_year_does() -> None:
    sales = [(date(2024, 12, 1), D(300)), (date(2025, 2, 1), D(300))]
    day = date(2025, 6, 30)
    assert standing(sales, day, D(500), Span.TWELVE_MONTHS).passed_on == date(2025, 2, 1)
    assert standing(sales, day, D(500), Span.CALENDAR_YEAR).passed_on is None


@pytest.mark.django_db
def test_of_the_books_each_day_of_the_twelve_months_looks_back_over_twelve_of_its_own() -> None:
    """300 before the span and 300 in it: over 500 together on the later day, though the last twelve months hold 300 less 50."""
    make.sale(make.item(None, 4000), on=date(2024, 1, 31))
    make.sale(make.item(None, 300), on=date(2024, 6, 1))
    sale = make.sale(make.item(None, 300), on=date(2025, 2, 1))
    credits.credit(sale=sale, on=date(2025, 3, 1), reason="late", amounts={sale.lines.get().pk: D(50)})
    make.sale(make.item(None, 4000), on=date(2026, 1, 1))
    assert years.against_limit(date(2025, 12, 31)) is None
    terms.set_terms(turnover_limit=D(500), rolling=True)
    rolling = years.against_limit(date(2025, 12, 31))
    assert rolling is not None
    assert (rolling.span, rolling.first) == (Span.TWELVE_MONTHS, date(2025, 1, 1))
    assert (rolling.turnover, rolling.left, rolling.passed_on) == (D(250), D(250), date(2025, 2, 1))
    terms.set_terms(turnover_limit=D(500), rolling=False)
    calendar = years.against_limit(date(2025, 12, 31))
    assert calendar is not None
    assert (calendar.span, calendar.turnover, calendar.passed_on) == (Span.CALENDAR_YEAR, D(250), None)


def test_a_limit_has_to_be_above_nought() -> None:
    with pytest.raises(NotAbove, match="The limit"):
        standing([], date(2025, 1, 1), D(0), Span.CALENDAR_YEAR)


@FEWER
@given(st.lists(st.tuples(st.integers(0, 800), st.integers(1, 50_000)), max_size=20), st.integers(1, 200_000))
def test_without_credits_a_calendar_limit_is_passed_exactly_when_it_is_exceeded(
    rows: list[tuple[int, int]], limit: int
) -> None:
    sales = [(date(2024, 1, 1) + timedelta(days), Decimal(cents).scaleb(-2)) for days, cents in rows]
    found = standing(sales, date(2025, 12, 31), Decimal(limit).scaleb(-2), Span.CALENDAR_YEAR)
    assert (found.passed_on is not None) == (found.turnover > found.limit)
