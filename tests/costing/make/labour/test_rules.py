"""What is usual, and when more hours stop paying."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from costing.make.errors import NotAbove
from costing.make.labour import rules as worth
from costing.make.labour.rules import earned, pays_until, still_pays, usual

WAGE = Decimal(16)


def test_usual_halves_the_middle_two_exactly() -> None:
    found = usual([Fraction(190), Fraction(1, 3), Fraction(205), Fraction(265)])
    assert found == worth.Usual(Fraction(395, 2), Fraction(1, 3), Fraction(265), 4)


def test_nothing_is_usual_before_anything_is_logged() -> None:
    assert usual([]) is None


@given(st.lists(st.integers(0, 1000), min_size=1))
def test_usual_lies_within_its_range(minutes: list[int]) -> None:
    found = usual(minutes)
    assert found is not None
    assert found.low <= found.median <= found.high
    assert 2 * sum(1 for value in minutes if value <= found.median) >= len(minutes)


def test_going_on_pays_from_exactly_the_wage() -> None:
    assert still_pays(Decimal(10), Decimal(74), Decimal(4), WAGE).pays
    below = still_pays(Decimal(10), Decimal("73.99"), Decimal(4), WAGE)
    assert (below.pays, below.gain, below.per_hour) == (False, Decimal("63.99"), Decimal("16.00"))


def test_going_on_without_hours_pays_if_it_brings_anything() -> None:
    assert still_pays(10, 11, 0, WAGE) == worth.Ahead(True, Decimal("1.00"), None)
    assert not still_pays(10, 10, 0, WAGE).pays
    with pytest.raises(NotAbove):
        still_pays(10, 11, -1, WAGE)


def test_a_session_that_lowers_the_hourly_earning_shows_it() -> None:
    found = earned(Decimal(170), Decimal("20.23"), 495, 20)
    assert (found.now, found.after) == (Decimal("18.15"), Decimal("17.45"))


def test_nothing_is_earned_an_hour_before_the_first_minute() -> None:
    assert earned(100, 20, 0, 60).now is None
    with pytest.raises(NotAbove, match="A session must be above zero"):
        earned(100, 20, 60, 0)


def test_further_softening_stops_paying_when_the_hours_pass_the_price() -> None:
    assert pays_until(Decimal("170.00"), Decimal("20.23"), WAGE) == 561


@given(st.integers(0, 50000), st.integers(0, 50000), st.integers(1, 5000))
def test_up_to_the_limit_every_hour_earns_the_wage_and_a_minute_later_it_does_not(
    price: int, book: int, wage: int
) -> None:
    cents = Decimal("0.01")
    until = pays_until(price * cents, book * cents, wage * cents)
    left, a_minute = Fraction(price - book), Fraction(wage, 60)
    assert until == 0 or left >= until * a_minute
    assert left < (until + 1) * a_minute


def test_a_price_below_book_pays_for_no_minute() -> None:
    assert pays_until(Decimal(10), Decimal("36.82"), WAGE) == 0


def test_without_a_wage_there_is_no_limit_to_tell() -> None:
    with pytest.raises(NotAbove, match="The wage must be above zero"):
        pays_until(100, 20, Decimal(0))
