"""What a fair left, what it has to take, and whether what came back fits."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.errors import NotAbove
from costing.sell.errors import NeverBreaksEven, NothingTaken
from costing.sell.fairs.rules import CountBack, FairDay, break_even, break_even_of, count_back, result
from tests.costing.report.figures import SALES
from tests.properties import FURTHER

D = Decimal
FEWER = settings(max_examples=40 * FURTHER)


def fair(name: str, pitch: str, fuel: str, hours: int) -> FairDay:
    mine = [sale for _, sale in SALES.values() if sale.fair == name]
    return FairDay(
        takings=sum((sale.taken for sale in mine), D(0)),
        goods=sum((sale.book for sale in mine), Fraction(0)),
        pitch=D(pitch),
        fuel=D(fuel),
        card_fees=sum((sale.selling for sale in mine), D(0)),
        stall_hours=hours,
    )


SPRING = fair("spring", "35", "12", 7)


@pytest.mark.parametrize(
    ("day", "takings", "goods", "left", "hourly"),
    [
        (SPRING, "170.00", "20.23", "102.77", "14.68"),
        (fair("midsummer", "50", "18", 9), "240.00", "44.70", "122.74", "13.64"),
        (fair("christmas", "40", "12", 8), "203.00", "39.17", "110.02", "13.75"),
    ],
    ids=["spring", "midsummer", "christmas"],
)
def test_each_fair_of_the_year_leaves_what_its_line_says(
    day: FairDay, takings: str, goods: str, left: str, hourly: str
) -> None:
    found = result(day)
    assert (found.takings, found.goods, found.left) == (D(takings), D(goods), D(left))
    assert found.per_stall_hour == D(hourly)


def test_the_spring_fair_had_to_take_its_fixed_costs_over_what_goods_leave() -> None:
    assert break_even_of(SPRING) == D("53.35")


def test_card_fees_raise_what_a_fair_has_to_take() -> None:
    plain = FairDay(D(200), 50, pitch=D(60))
    assert break_even_of(plain) == D("80.00")
    assert break_even_of(FairDay(D(200), 50, pitch=D(60), card_fees=D(30))) == D("100.00")


def test_a_fair_without_hours_has_no_hourly_figure() -> None:
    assert result(FairDay(D(10), 0)).per_stall_hour is None
    with pytest.raises(NotAbove):
        result(FairDay(D(10), 0, stall_hours=-1))


@pytest.mark.parametrize("share", ["1", "1.2"])
def test_no_takings_pay_a_fair_whose_goods_cost_what_they_bring(share: str) -> None:
    with pytest.raises(NeverBreaksEven, match=f"take {100 * Fraction(share)} % of the takings.*raise the prices"):
        break_even(D(47), Fraction(share))


def test_a_share_cannot_be_told_when_nothing_was_taken() -> None:
    with pytest.raises(NothingTaken):
        break_even_of(FairDay(D(0), 0, pitch=D(35)))


@FEWER
@given(st.integers(0, 100_000), st.integers(0, 99))
def test_at_the_break_even_nothing_is_lost_and_a_cent_less_loses(fixed: int, percent: int) -> None:
    cost, share = Decimal(fixed).scaleb(-2), Fraction(percent, 100)
    takings = Fraction(break_even(cost, share))
    assert takings * (1 - share) >= cost
    assert (takings - Fraction(1, 100)) * (1 - share) < cost


def test_everything_packed_was_sold_or_came_back() -> None:
    assert count_back(["A1", "A2", "A3"], ["A2"], ["A3", "A1"]).fits


def test_what_does_not_fit_is_named_by_kind() -> None:
    found = count_back(["A1", "A2", "A3"], ["A1", "A9"], ["A1", "A2"])
    assert found == CountBack(missing=("A3",), strangers=("A9",), twice=("A1",))
    assert count_back(["A1"], ["A1"], ["A8"]) == CountBack(missing=(), strangers=("A8",), twice=())


@pytest.mark.parametrize(("sold", "back"), [([], []), (["A1", "A9"], []), (["A1"], ["A1"])])
def test_one_thing_that_does_not_fit_is_enough(sold: list[str], back: list[str]) -> None:
    assert count_back(["A1"], ["A1"], []).fits
    assert not count_back(["A1"], sold, back).fits


def test_whatever_else_a_fair_costs_comes_off_and_has_to_be_taken() -> None:
    day = FairDay(D(200), 50, pitch=D(40), fuel=D(12), other=D(8))
    assert result(day).left == D("90.00")
    assert break_even_of(day) == D("80.00")
    with_fees = result(FairDay(D(200), 50, pitch=D(40), fuel=D(12), other=D(8), card_fees=D(5)))
    assert (with_fees.costs, with_fees.left) == (D("65.00"), D("85.00"))
