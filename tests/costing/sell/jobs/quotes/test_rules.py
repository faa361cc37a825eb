"""What to ask for a job: own hours, a deposit, storage."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.cost.rates.rules import Rates
from costing.make.errors import NotAbove
from costing.sell.jobs.quotes.rules import Storage, deposit, quote, storage
from inventory.errors import Refused
from inventory.money import half_up
from tests.costing.make.cost.test_rules import RATES, demo_share
from tests.properties import FURTHER

D = Decimal
FEWER = settings(max_examples=40 * FURTHER)
READY = date(2025, 5, 10)


def test_a_job_priced_from_the_reindeer_of_the_year() -> None:
    """H04 and H06 went the whole way on 9.698… of materials, in 558.5 and 538.5 minutes; the median is halfway, rounded up."""
    done = [demo_share(skin) for skin in ("H04", "H06")]
    found = quote([share.minutes for share in done], [share.materials for share in done], RATES, lacings=1)
    assert (found.low, found.high) == (D("190.72"), D("197.39"))
    assert found.usual == D("194.06")
    assert found.hours.count == 2
    full = half_up(demo_share("H06").full(RATES), 2)
    assert found.low == full


def test_a_quote_is_rounded_up_so_that_it_covers() -> None:
    third = quote([Fraction(100, 3)], [], Rates(D(16), D(4), D(0)))
    assert third.usual == D("11.12")


def test_one_skin_of_history_has_no_range() -> None:
    found = quote([60], [5], RATES)
    assert found.low == found.usual == found.high == D("25.00")


def test_materials_without_history_are_nought_and_hours_without_are_refused() -> None:
    assert quote([60], [], RATES).materials == 0
    with pytest.raises(Refused, match="enter the hours you expect"):
        quote([], [5], RATES)


def test_the_risk_of_losing_it_is_in_every_price() -> None:
    plain, risky = quote([60, 120], [3], RATES), quote([60, 120], [3], RATES, loss_rate=Fraction(1, 3))
    assert [risky.low - plain.low, risky.usual - plain.usual, risky.high - plain.high] == [D("11.00")] * 3
    assert (risky.at_stake, risky.risk) == (33, 11)
    assert (plain.at_stake, plain.risk) == (33, 0)


@pytest.mark.parametrize("chance", ["-0.01", "1.01"])
def test_a_chance_outside_nought_to_one_is_refused(chance: str) -> None:
    with pytest.raises(Refused, match=f"A loss rate of {chance} cannot be"):
        quote([60], [5], RATES, loss_rate=D(chance))


def test_a_skin_cannot_be_laced_less_than_never() -> None:
    with pytest.raises(NotAbove):
        quote([60], [5], RATES, lacings=-1)


@FEWER
@given(st.lists(st.integers(0, 2000), min_size=1, max_size=9), st.lists(st.integers(0, 90), max_size=5))
def test_quotes_are_ordered_and_cover_their_cost(minutes: list[int], materials: list[int]) -> None:
    found = quote(minutes, materials, RATES, lacings=1)
    assert found.low <= found.usual <= found.high
    cost = found.hours.median * 20 / 60 + found.materials + Fraction("1.52")
    assert cost <= found.usual < cost + Fraction(1, 100)


def test_the_deposit_of_the_year_is_its_share_of_the_price() -> None:
    assert deposit(D("165.00"), D(40), demo_share("H06").book()) == D("66.00")


def test_a_deposit_covers_the_cash_that_the_job_will_cost() -> None:
    assert deposit(D("165.00"), D(5), D("9.695")) == D("9.70")
    assert deposit(D("165.00"), D(0), 0) == D("0.00")


def test_a_deposit_is_never_more_than_the_price() -> None:
    assert deposit(D("20.00"), D(40), D("36.00")) == D("20.00")
    assert deposit(D("20.00"), D(150), 0) == D("20.00")


@pytest.mark.parametrize(("price", "share"), [("0", "40"), ("-1", "40"), ("100", "-1")])
def test_a_deposit_needs_a_price_and_a_share(price: str, share: str) -> None:
    with pytest.raises(NotAbove):
        deposit(D(price), D(share), 0)


def test_storage_is_charged_from_the_day_after_the_last_free_one() -> None:
    last_free = storage(READY, READY + timedelta(14), 14, D("1.00"))
    assert last_free == Storage(14, READY + timedelta(14), 0, D("0.00"))
    assert storage(READY, READY + timedelta(15), 14, D("1.00")).charge == D("1.00")


def test_storage_ends_with_the_day_of_collection() -> None:
    taken = READY + timedelta(20)
    assert storage(READY, READY + timedelta(90), 14, D("1.50"), taken).charge == D("9.00")
    assert storage(READY, READY + timedelta(15), 14, D("1.50"), taken).charge == D("1.50")


def test_storage_may_cost_nothing() -> None:
    assert storage(READY, READY + timedelta(30), 14, D("0.00")).charge == 0


def test_before_the_notice_nothing_is_stored() -> None:
    assert storage(READY, READY - timedelta(3), 0, D("1.00")).days == 0


@pytest.mark.parametrize(("free", "daily"), [(-1, "1"), (0, "-1")])
def test_storage_terms_are_not_below_nought(free: int, daily: str) -> None:
    with pytest.raises(NotAbove):
        storage(READY, READY, free, D(daily))
