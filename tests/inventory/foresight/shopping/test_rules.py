"""The basket: what is in it, what may come along, and what bringing it costs. What is shown adds up."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from inventory.foresight.shopping import rules
from inventory.foresight.shopping.rules import Line, basket

D = Decimal
TODAY = date(2026, 1, 5)


def line(code: str = "A", goods: str | None = "10.00", days: int = 0, *, presses: bool = True, yearly: int = 0) -> Line:
    price = None if goods is None else D(goods)
    return Line(code, D(1000), price, TODAY + timedelta(days=days), presses, Fraction(yearly))


def test_a_basket_without_a_pressing_line_is_none() -> None:
    assert basket([line(presses=False)], TODAY) is None
    assert basket([], TODAY) is None


def test_it_must_be_ordered_by_its_earliest_line() -> None:
    found = basket([line("A", days=9), line("B", days=-4), line("C", days=-20, presses=False)], TODAY)
    assert found is not None
    assert found.by == TODAY - timedelta(days=4)
    assert [each.code for each in found.now] == ["B", "A"]


@pytest.mark.parametrize(("days", "soon"), [(30, 1), (31, 0)])
def test_what_is_due_within_thirty_days_may_come_along(days: int, soon: int) -> None:
    found = basket([line(), line("B", days=days, presses=False)], TODAY)
    assert found is not None
    assert len(found.soon) == soon


def test_with_a_known_carriage_what_is_due_within_the_joint_rhythm_may_come_along() -> None:
    # root(2 × 9.90 ÷ (0.2 × 20 ÷ 1000 × 4000 + 0.2 × 10 ÷ 1000 × 2000)) = 0.995 of a year.
    lines = [line("A", "20.00", yearly=4000), line("B", "10.00", 300, presses=False, yearly=2000)]
    assert rules.reach(lines, D("9.90")) == 363
    found = basket(lines, TODAY, D("9.90"))
    assert found is not None
    assert [each.code for each in found.soon] == ["B"]


@pytest.mark.parametrize("usual", [None, D(0)])
def test_without_a_carriage_to_share_thirty_days_are_soon(usual: Decimal | None) -> None:
    assert rules.reach([line(yearly=4000)], usual) == rules.SOON_DAYS


def test_what_comes_along_is_due_within_a_year_whatever_the_carriage() -> None:
    assert rules.reach([line(goods="0.10", yearly=1)], D(500)) == rules.LONGEST_DAYS


def test_goods_up_to_the_limit_pay_carriage_and_are_told_what_is_missing() -> None:
    found = basket([line(goods="34.80")], TODAY, D("9.90"), D(40))
    assert found is not None
    assert (found.goods, found.carriage, found.total, found.missing) == (D("34.80"), D("9.90"), D("44.70"), D("5.20"))


def test_goods_from_the_limit_on_are_brought_free() -> None:
    found = basket([line(goods="40.00")], TODAY, D("9.90"), D(40))
    assert found is not None
    assert (found.carriage, found.total, found.missing) == (D(0), D("40.00"), None)


def test_soon_lines_that_reach_the_limit_are_named_and_no_more_of_them() -> None:
    soon = [line(code, "3.00", days, presses=False) for code, days in (("B", 3), ("C", 6), ("D", 9))]
    found = basket([line(goods="35.00"), *soon], TODAY, D("9.90"), D(40))
    assert found is not None
    assert [each.code for each in found.fills] == ["B", "C"]


def test_soon_lines_that_do_not_reach_the_limit_are_not_proposed() -> None:
    found = basket([line(goods="5.00"), line("B", "3.00", 3, presses=False)], TODAY, D("9.90"), D(40))
    assert found is not None
    assert found.fills == ()


def test_a_line_without_a_price_is_counted_apart() -> None:
    found = basket([line(), line("B", None)], TODAY)
    assert found is not None
    assert (found.goods, found.unpriced, found.carriage) == (D("10.00"), 1, None)


prices = st.none() | st.integers(0, 10**5).map(lambda cents: D(cents) / 100)


@given(
    st.lists(st.tuples(prices, st.integers(-40, 400), st.booleans(), st.integers(0, 9000)), max_size=6),
    prices,
    st.none() | st.integers(1, 10**5).map(lambda cents: D(cents) / 100),
)
def test_what_is_shown_adds_up_and_every_line_stands_once(
    drawn: list[tuple[Decimal | None, int, bool, int]], usual: Decimal | None, free_from: Decimal | None
) -> None:
    lines = [
        Line(f"M{at}", D(500), goods, TODAY + timedelta(days=days), presses, Fraction(yearly))
        for at, (goods, days, presses, yearly) in enumerate(drawn)
    ]
    found = basket(lines, TODAY, usual, free_from)
    pressing = [each for each in lines if each.presses]
    if found is None:
        assert not pressing
        return
    assert sorted(found.now, key=lambda each: each.code) == sorted(pressing, key=lambda each: each.code)
    assert not {each.code for each in found.now} & {each.code for each in found.soon}
    assert found.goods == sum((each.goods or D(0) for each in found.now), D(0))
    assert found.total == found.goods + (found.carriage or D(0))
    assert found.by == min(each.order_by for each in found.now)
    assert set(found.fills) <= set(found.soon)
    if found.fills:
        assert found.missing is not None
        assert sum((each.goods or D(0) for each in found.fills), D(0)) >= found.missing
