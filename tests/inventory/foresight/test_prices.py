"""A price list is read, refused, and searched for the cheapest order."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from inventory.foresight.prices import Prices, Year, read, root

numbers = st.integers(1, 100_000).map(lambda cents: Fraction(cents, 100))


@st.composite
def lists(draw: st.DrawFn) -> Prices:
    starts = sorted(draw(st.sets(st.integers(1, 200), max_size=4)))
    prices = sorted(draw(st.sets(numbers, min_size=len(starts) + 1, max_size=len(starts) + 1)), reverse=True)
    return read(list(zip([0, *starts], prices, strict=True)), further=draw(st.booleans()))


@pytest.mark.parametrize(
    ("breaks", "said"),
    [
        ([], "from nothing"),
        ([(5, 10)], "from nothing"),
        ([(0, 10), (20, 9), (5, 8)], "5 comes after 20"),
        ([(0, 10), (5, 9), (5, 8)], "5 comes after 5"),
        ([(0, 10), (5, 10)], "from 5 on must be lower"),
        ([(0, 10), (5, 11)], "from 5 on must be lower"),
        ([(0, -1)], "negative"),
        ([(0, 10), (5, -1)], "negative"),
    ],
)
def test_a_list_out_of_order_is_refused(breaks: list[tuple[int, int]], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        read(breaks)


def test_the_whole_order_or_what_goes_further_has_the_lower_price() -> None:
    breaks = [(0, 10), (5, 8), (10, 6)]
    whole, further = read(breaks), read(breaks, further=True)
    assert [whole.cost(Fraction(each)) for each in (4, 5, 9, 10, 12)] == [40, 40, 72, 60, 72]
    assert [further.cost(Fraction(each)) for each in (4, 5, 9, 10, 12)] == [40, 50, 82, 90, 102]


def test_a_root_is_exact_where_it_can_be_and_never_too_large() -> None:
    assert root(Fraction(0)) == 0
    assert root(Fraction(1, 4)) == Fraction(1, 2)
    assert 0 <= 2 - root(Fraction(2)) ** 2 < Fraction(1, 10**11)


@given(lists(), numbers, numbers, st.integers(1, 60), st.integers(0, 60))
def test_nothing_between_least_and_most_is_cheaper(
    prices: Prices, order_cost: Fraction, demand: Fraction, least: int, room: int
) -> None:
    year = Year(order_cost, Fraction(1, 5), demand, prices)
    best = year.best(Fraction(least), Fraction(least + room), Fraction(1))
    assert best == min(
        (Fraction(each) for each in range(least, least + room + 1)), key=lambda each: (year.cost(each), each)
    )


@given(lists(), numbers, numbers, numbers)
def test_no_other_quantity_is_cheaper_over_a_year(
    prices: Prices, order_cost: Fraction, demand: Fraction, other: Fraction
) -> None:
    year = Year(order_cost, Fraction(1, 5), demand, prices)
    # A root is cut after twelve places.
    assert year.cost(year.best()) <= year.cost(other) * (1 + Fraction(1, 10**9))


def test_where_nothing_fits_it_stays_at_the_least() -> None:
    year = Year(Fraction(5), Fraction(1, 5), Fraction(10), read([(0, 2)]))
    assert year.best(Fraction(3), Fraction(2), Fraction(1)) == 3


def test_what_costs_nothing_is_not_hoarded() -> None:
    year = Year(Fraction(5), Fraction(1, 5), Fraction(10), read([(0, 0)]))
    assert year.best(Fraction(3), None, Fraction(1)) == 3
