"""What a fair left, what it has to take, and whether what came back fits."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.errors import NotAbove
from costing.sell.fairs.rules import FairDay, amiss, break_even, result
from inventory.errors import Refused
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
    assert result(SPRING).break_even == D("53.35")


def test_card_fees_raise_what_a_fair_has_to_take() -> None:
    plain = FairDay(D(200), 50, pitch=D(60))
    assert result(plain).break_even == D("80.00")
    assert result(FairDay(D(200), 50, pitch=D(60), card_fees=D(30))).break_even == D("100.00")


def test_a_fair_without_hours_has_no_hourly_figure() -> None:
    assert result(FairDay(D(10), 0)).per_stall_hour is None
    with pytest.raises(NotAbove):
        result(FairDay(D(10), 0, stall_hours=-1))


@pytest.mark.parametrize("share", ["1", "1.2"])
def test_no_takings_pay_a_fair_whose_goods_cost_what_they_bring(share: str) -> None:
    with pytest.raises(Refused, match=f"take {100 * Fraction(share)} % of the takings.*raise the prices") as refused:
        break_even(D(47), Fraction(share))
    found = result(FairDay(D(10), 10 * Fraction(share), pitch=D(47)))
    assert (found.break_even, found.never) == (None, str(refused.value))


def test_a_share_cannot_be_told_when_nothing_was_taken() -> None:
    found = result(FairDay(D(0), 0, pitch=D(35)))
    assert (found.break_even, found.never) == (None, "")


@FEWER
@given(st.integers(0, 100_000), st.integers(0, 99))
def test_at_the_break_even_nothing_is_lost_and_a_cent_less_loses(fixed: int, percent: int) -> None:
    cost, share = Decimal(fixed).scaleb(-2), Fraction(percent, 100)
    takings = Fraction(break_even(cost, share))
    assert takings * (1 - share) >= cost
    assert (takings - Fraction(1, 100)) * (1 - share) < cost


def test_everything_packed_was_sold_or_came_back() -> None:
    assert amiss(["A1", "A2", "A3"], ["A2"], ["A3", "A1"]) == ""


def test_what_does_not_fit_is_named_by_kind() -> None:
    found = amiss(["A1", "A2", "A3", "A4"], ["A1"], ["A1", "A2", "A9"])
    missing, strangers, twice = "A3, A4 went to the fair", "A9 is ticked as back but", "A1 is sold and ticked"
    assert [found.index(said) for said in (missing, strangers, twice)] == sorted(
        map(found.index, (missing, strangers, twice))
    )


@pytest.mark.parametrize(("sold", "back"), [([], []), (["A1"], ["A9"]), (["A1"], ["A1"])])
def test_one_thing_that_does_not_fit_is_enough(sold: list[str], back: list[str]) -> None:
    assert amiss(["A1"], ["A1"], []) == ""
    assert amiss(["A1"], sold, back)


def test_whatever_else_a_fair_costs_comes_off_and_has_to_be_taken() -> None:
    day = FairDay(D(200), 50, pitch=D(40), fuel=D(12), other=D(8))
    assert result(day).left == D("90.00")
    assert result(day).break_even == D("80.00")
    with_fees = result(FairDay(D(200), 50, pitch=D(40), fuel=D(12), other=D(8), card_fees=D(5)))
    assert (with_fees.costs, with_fees.left) == (D("65.00"), D("85.00"))


@given(takings=st.decimals(0, 900, places=2), goods=st.fractions(0, 900, max_denominator=97))
def test_what_is_shown_of_a_fair_adds_up_to_what_is_shown(takings: Decimal, goods: Fraction) -> None:
    found = result(FairDay(takings, goods, pitch=Decimal("35.05"), card_fees=Decimal("1.37")))
    assert found.takings - found.goods - found.costs == found.left
