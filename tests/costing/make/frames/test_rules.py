"""The wear of lacings: what is left ÷ the lacings left, to the coin, and the last one takes the rest."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given, strategies as st

from costing.make.frames.rules import Laced, Put, worn
from inventory.money import half_up

DAY = date(2025, 2, 3)
D = Decimal


def on(days: int) -> date:
    return DAY + timedelta(days=days)


def wears(puts: list[Put], *days: int, places: int = 2) -> list[str]:
    found = worn(puts, [Laced(on(day), key) for key, day in enumerate(days)], places)
    return [str(found.wears[key]) for key in range(len(days))]


def test_twelve_lacings_of_a_frame_of_18_24_wear_off_1_52_each() -> None:
    assert wears([Put(DAY, D("18.24"), 12)], *range(12)) == ["1.52"] * 12


def test_the_last_lacing_takes_the_rest() -> None:
    assert wears([Put(DAY, D("10.00"), 3)], 0, 1, 2) == ["3.33", "3.33", "3.34"]
    assert wears([Put(DAY, D(10), 3)], 0, 1, 2, places=0) == ["3", "3", "4"]


def test_a_frame_that_holds_longer_than_was_thought_costs_nothing_more() -> None:
    assert wears([Put(DAY, D("5.00"), 1)], 0, 1, 2) == ["5.00", "0.00", "0.00"]


def test_a_repair_adds_to_what_is_left_and_changes_no_lacing_before_it() -> None:
    puts = [Put(DAY, D("12.00"), 4), Put(on(2), D("3.00")), Put(on(3), D("4.00"), 2)]
    assert wears(puts, 0, 1, 2, 3) == ["3.00", "3.00", "4.50", "2.83"]
    assert worn(puts, [Laced(on(day), day) for day in range(4)], 2).lacings == 2


def test_what_goes_in_on_a_day_is_there_before_its_lacings_whatever_was_written_first() -> None:
    assert wears([Put(DAY, D("2.00"), 2), Put(DAY, D("2.00"))], 0, 0) == ["2.00", "2.00"]


def test_a_repair_of_a_worn_out_frame_is_borne_by_its_next_lacing() -> None:
    assert wears([Put(DAY, D("5.00"), 1), Put(on(1), D("2.00"))], 0, 1) == ["5.00", "2.00"]


money = st.decimals(min_value=0, max_value=500, places=2).map(lambda value: half_up(value, 2))
entries = st.tuples(st.integers(0, 20), money, st.integers(0, 9))


@given(st.lists(entries, min_size=1, max_size=6), st.lists(st.integers(0, 25), max_size=20))
def test_wears_and_what_is_left_are_all_that_went_in(puts: list[tuple[int, Decimal, int]], days: list[int]) -> None:
    given_in = [Put(on(day), value, lacings) for day, value, lacings in puts]
    found = worn(given_in, [Laced(on(day), key) for key, day in enumerate(days)], 2)
    assert sum(found.wears.values(), found.left) == sum(put.money for put in given_in)
    assert min([found.left, *found.wears.values()]) >= 0
