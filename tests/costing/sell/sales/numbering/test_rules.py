"""Numbers of papers: none skipped, none twice."""

from __future__ import annotations

import pytest
from hypothesis import given, settings, strategies as st

from costing.sell.sales.numbering.rules import NumberRefused, Series, next_number
from tests.properties import FURTHER

INVOICES = Series("INV-")


@settings(max_examples=30 * FURTHER)
@given(st.integers(0, 8), st.integers(1, 1200), st.data())
def test_numbers_follow_each_other_whatever_order_they_are_read_in(count: int, first: int, data: st.DataObject) -> None:
    series, used = Series("R-", first=first), list[str]()
    for _ in range(count):
        used = data.draw(st.permutations([*used, next_number(series, used)]))
    assert sorted(series.read(number) for number in used) == list(range(first, first + count))


def test_a_series_may_begin_where_an_old_book_ended() -> None:
    series = Series("2025/", digits=4, first=118)
    assert next_number(series, []) == "2025/0118"
    assert next_number(series, ["2025/0118"]) == "2025/0119"


def test_a_gap_is_named_before_another_number_is_given() -> None:
    with pytest.raises(NumberRefused, match="runs to INV-005, but no paper carries INV-002, INV-004; restore"):
        next_number(INVOICES, ["INV-001", "INV-003", "INV-005"])


def test_a_series_that_does_not_start_at_its_first_has_a_gap() -> None:
    with pytest.raises(NumberRefused, match="no paper carries INV-001; restore"):
        next_number(INVOICES, ["INV-002"])


def test_a_number_a_billion_off_is_told_at_once_and_not_written_out() -> None:
    with pytest.raises(NumberRefused, match=r"INV-002(, INV-00[3-6]){4} and 999999993 more"):
        next_number(INVOICES, ["INV-001", "INV-1000000000"])


def test_a_number_on_two_papers_is_refused() -> None:
    with pytest.raises(NumberRefused, match="INV-001 is on two papers"):
        next_number(INVOICES, ["INV-001", "INV-001"])


@pytest.mark.parametrize(
    "number", ["CN-001", "INV-1", "INV-0001", "INV-000", "INV-", "inv-001", "INV-٠٠١", "INV-001\n"]
)
def test_a_number_that_the_series_would_not_write_is_refused(number: str) -> None:
    with pytest.raises(NumberRefused, match="whose first is INV-001"):
        next_number(INVOICES, [number])


def test_a_prefix_is_no_pattern() -> None:
    with pytest.raises(NumberRefused, match=r"whose first is A\.001"):
        Series("A.").read("AB001")


def test_numbers_grow_past_their_digits() -> None:
    assert next_number(Series("N", digits=1, first=9), ["N9"]) == "N10"
