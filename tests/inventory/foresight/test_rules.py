"""The forecast: when it runs out, by when to order, how sure, how much."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from inventory.foresight.demand import Event, Habit, Usual, habit
from inventory.foresight.lot_size import advise
from inventory.foresight.rules import FAR_DAYS, Forecast, State, forecast
from inventory.foresight.supply import Coming, Lead, Need, Parcel, Supply, lead

D = Decimal
TODAY = date(2025, 12, 31)
ALUM = Supply((Parcel(D(560)),), lead=Lead((9,)), safety_days=3, pack=D(2000))
NONE = Usual(Habit(), Habit())


def day(days: int) -> date:
    return TODAY + timedelta(days=days)


def need(days: int, quantity: int | str, why: str = "B5") -> Need:
    return Need(day(days), D(quantity), why)


def every(gap: int, quantity: int | str, *, batch: bool = False, silence: int = 0, times: int = 60) -> Usual:
    """So much every so many days, the last time so many days ago."""
    events = [Event(day(-silence - gap * back), D(quantity), batch) for back in reversed(range(times))]
    found = habit(events, events[0].on - timedelta(days=gap - 1), TODAY)
    return Usual(found, Habit(), usual_batch=D(quantity)) if batch else Usual(Habit(), found, usual_use=D(quantity))


def ahead(supply: Supply, needs: tuple[Need, ...] = (), use: Usual = NONE, **how: Any) -> Forecast:
    return forecast(supply, tuple(sorted(needs, key=lambda each: each.on)), use, TODAY, **how)


def shelf(quantity: int | str, **how: Any) -> Supply:
    return Supply((Parcel(D(quantity)),), **how)


class TestPlans:
    def test_alum_for_four_sheepskins_is_ordered_today(self) -> None:
        seen = ahead(ALUM, (need(12, 1920),))
        assert (seen.runs_out_on, seen.order_by) == (date(2026, 1, 12), date(2025, 12, 31))
        assert (seen.needed, seen.short, seen.wanted) == (D(1920), D(1360), D(1360))
        assert (seen.state, seen.reason, seen.overdue_days) == (State.ORDER_NOW, "planned", 0)
        assert (seen.risk, seen.risk_in_a_week) == (0, 1)
        assert seen.first_short == need(12, 1920)

    def test_a_day_later_it_is_overdue_by_a_day(self) -> None:
        seen = forecast(ALUM, (need(12, 1920),), NONE, day(1))
        assert (seen.order_by, seen.overdue_days, seen.state) == (TODAY, 1, State.ORDER_NOW)

    def test_a_plan_nearer_than_a_delivery_is_short(self) -> None:
        seen = ahead(ALUM, (need(8, 1920),))
        assert (seen.state, seen.overdue_days) == (State.SHORT, 4)

    def test_a_plan_that_takes_exactly_what_is_there_is_enough(self) -> None:
        seen = ahead(ALUM, (need(12, 560),))
        assert (seen.runs_out_on, seen.order_by, seen.state, seen.wanted) == (None, None, State.FINE, 0)

    def test_a_far_plan_that_is_short_is_told_with_its_day(self) -> None:
        seen = ahead(ALUM, (need(200, 1920),))
        assert (seen.state, seen.order_by, seen.alert) == (State.ORDER_BY, day(188), True)

    def test_the_first_plan_that_lacks_is_named(self) -> None:
        seen = ahead(ALUM, (need(12, 300, "B5"), need(25, 300, "B6"), need(40, 300, "B7")))
        assert seen.first_short
        assert seen.first_short.why == "B6"
        assert (seen.runs_out_on, seen.short) == (day(25), D(340))

    def test_a_past_plan_counts_today(self) -> None:
        seen = ahead(ALUM, (need(-5, 500), need(0, 100)))
        assert (seen.runs_out_on, seen.short, seen.state) == (TODAY, D(40), State.SHORT)

    def test_the_last_thousandth_counts(self) -> None:
        assert ahead(shelf("1999.999"), (need(3, 2000),)).wanted == D("0.001")


class TestUsualUse:
    def test_what_is_used_daily_runs_out_when_it_is_gone(self) -> None:
        seen = ahead(shelf(100, lead=Lead((3,)), safety_days=2), use=every(1, 10))
        assert (seen.runs_out_on, seen.order_by, seen.reason) == (day(11), day(6), "usual_use")
        assert seen.state == State.ORDER_BY

    def test_no_use_and_no_plan_never_runs_out(self) -> None:
        seen = ahead(ALUM)
        assert (seen.runs_out_on, seen.order_by, seen.state, seen.reason) == (None, None, State.FINE, "none")
        assert (seen.risk, seen.wanted, seen.reorder_point) == (0, 0, 0)

    def test_an_empty_shelf_that_nobody_uses_is_no_alarm(self) -> None:
        assert not ahead(shelf(0)).alert

    def test_what_was_given_up_alarms_no_more(self) -> None:
        assert ahead(shelf(1), use=every(30, 500, silence=370)).alert is False

    def test_stock_for_more_than_ten_years_does_not_run_out(self) -> None:
        seen = ahead(shelf(10**9), use=every(10, 1))
        assert (seen.runs_out_on, seen.order_by, seen.state) == (None, None, State.FINE)

    def test_beyond_the_paths_it_goes_by_the_usual_rate(self) -> None:
        seen = ahead(shelf(3650, lead=Lead((9,)), safety_days=3), use=every(1, 10))
        assert seen.runs_out_on
        assert abs((seen.runs_out_on - day(365)).days) <= 25
        assert seen.order_by == seen.runs_out_on - timedelta(days=12)
        assert (seen.runs_out_on - TODAY).days < FAR_DAYS

    def test_the_reorder_point_is_never_below_one_usual_batch(self) -> None:
        use = every(60, 1000, batch=True)
        assert ahead(ALUM, use=use).reorder_point >= 1000
        assert ahead(replace(ALUM, lead=Lead((0,)), safety_days=0), use=use).reorder_point == 1000

    def test_nor_below_what_is_usually_taken_at_once(self) -> None:
        assert ahead(ALUM, use=every(60, 12)).reorder_point >= 12

    def test_below_the_reorder_point_it_is_ordered_at_once_and_up_to_it(self) -> None:
        use = every(60, 1000, batch=True)
        seen = ahead(shelf(900), use=use)
        assert (seen.state, seen.order_by, seen.overdue_days) == (State.ORDER_NOW, TODAY, 0)
        assert seen.wanted >= seen.reorder_point - 900
        assert ahead(shelf(5000), use=use).state == State.FINE

    def test_a_plan_stands_in_for_the_usual_batches_before_it(self) -> None:
        use = every(20, 400, batch=True)
        seen = ahead(shelf(1000), (need(18, 900),), use)
        # 100 are left on day 18; the next usual batch comes a whole pause after the planned one.
        assert (seen.runs_out_on, seen.short) == (day(38), 0)

    def test_use_besides_batches_goes_on_beside_a_plan(self) -> None:
        seen = ahead(shelf(1000), (need(18, 900),), every(1, 10))
        assert seen.runs_out_on == day(11) or seen.runs_out_on == day(18)
        assert seen.reason == "planned" or seen.runs_out_on == day(11)

    def test_a_plan_far_ahead_does_not_hide_the_use_before_it(self) -> None:
        seen = ahead(shelf(1000), (need(170, 100),), every(20, 400, batch=True))
        assert seen.runs_out_on == day(60)


class TestOrders:
    def test_what_is_ordered_stops_the_alarm_and_is_not_advised_again(self) -> None:
        coming = (Coming(D(2000), day(9), "O1", TODAY),)
        seen = ahead(replace(ALUM, coming=coming), (need(12, 1920),))
        assert (seen.state, seen.alert, seen.next_due, seen.wanted, seen.short) == (State.ORDERED, False, day(9), 0, 0)

    def test_an_order_that_comes_after_the_plan_does_not_help_it(self) -> None:
        coming = (Coming(D(2000), day(20), "O1", TODAY),)
        seen = ahead(replace(ALUM, coming=coming), (need(12, 1920),))
        assert seen.first_short
        assert seen.state == State.ORDER_NOW

    def test_part_of_what_is_needed_leaves_the_rest_to_order(self) -> None:
        coming = (Coming(D(1000), day(9), "O1", TODAY),)
        assert ahead(replace(ALUM, coming=coming), (need(12, 1920),)).wanted == D(360)

    def test_a_late_order_is_told_and_not_advised_again(self) -> None:
        coming = (Coming(D(2000), day(-4), "O1", day(-13)),)
        seen = ahead(replace(ALUM, coming=coming), (need(12, 1920),))
        assert (seen.state, seen.overdue_days, seen.alert, seen.wanted) == (State.ORDERED, 4, True, 0)

    def test_own_orders_say_how_long_from_three_on(self) -> None:
        assert lead(9, (30, 30)) == Lead((9,))
        own = lead(9, (5, 6, 13))
        assert own.learned
        assert own.usual == 8
        seen = ahead(replace(ALUM, lead=own), (need(12, 1920),))
        # Of three known times the slowest must still be in time.
        assert seen.order_by == day(12 - 13 - 3)


class TestSpoiling:
    def test_what_spoils_before_it_is_used_is_told_and_not_counted_on(self) -> None:
        eggs = Supply((Parcel(D(10), day(20)), Parcel(D(5))), lead=Lead((0,)))
        seen = ahead(eggs, (need(10, 4), need(30, 6)))
        assert seen.spoils == (day(20), D(6))
        assert (seen.runs_out_on, seen.state) == (day(30), State.ORDER_BY)

    def test_what_is_past_its_day_counts_no_more(self) -> None:
        seen = ahead(Supply((Parcel(D(10), day(-1)),)), (need(10, 4),))
        assert (seen.runs_out_on, seen.spoils, seen.spoiled) == (day(10), None, D(10))

    def test_of_what_is_past_its_day_a_plan_is_short(self) -> None:
        seen = ahead(Supply((Parcel(D(10), day(-1)), Parcel(D(1)))), (need(10, 4),))
        assert (seen.first_short, seen.short) == (need(10, 4), D(3))

    def test_what_spoils_first_is_used_first(self) -> None:
        eggs = Supply((Parcel(D(5)), Parcel(D(10), day(20))))
        enough = ahead(eggs, (need(10, 4), need(30, 5)))
        assert (enough.first_short, enough.short) == (None, 0)
        lacking = ahead(eggs, (need(10, 4), need(30, 6)))
        assert (lacking.first_short, lacking.short) == (need(30, 6), D(1))

    def test_more_than_is_used_before_it_spoils_is_not_bought(self) -> None:
        seen = ahead(shelf(0, shelf_life_days=20), use=every(1, 1))
        assert seen.keeps is not None
        assert 18 <= seen.keeps <= 21


@pytest.mark.parametrize("wrong", [{"parcels": (Parcel(D(-1)),)}, {"safety_days": -1}])
def test_a_supply_below_zero_is_an_error(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match="below zero"):
        Supply(**({"parcels": ()} | wrong))


def test_a_pack_of_nothing_no_days_and_a_negative_need_are_errors() -> None:
    with pytest.raises(ValueError, match="pack must hold more"):
        Supply((), pack=D(0))
    with pytest.raises(ValueError, match="days an order takes"):
        Lead((-1,))
    with pytest.raises(ValueError, match="below zero"):
        need(1, -1)
    with pytest.raises(ValueError, match="between 0 and 1"):
        ahead(ALUM, service=Fraction(1))


NEEDS = st.lists(st.builds(need, st.integers(-5, 170), st.integers(0, 500)), max_size=5).map(tuple)
USES = st.builds(
    every,
    st.integers(1, 40),
    st.integers(1, 300),
    batch=st.booleans(),
    silence=st.integers(0, 30),
    times=st.integers(1, 20),
) | st.just(NONE)
LEADS = st.lists(st.integers(0, 40), min_size=1, max_size=4).map(lambda days: Lead(tuple(days)))
FAR = date.max


@settings(max_examples=40, deadline=None)
@given(NEEDS, USES, LEADS, st.integers(0, 900), st.integers(1, 900))
def test_more_stock_never_moves_the_end_earlier(
    needs: tuple[Need, ...], use: Usual, takes: Lead, there: int, more: int
) -> None:
    less, full = (ahead(shelf(each, lead=takes), needs, use) for each in (there, there + more))
    assert (less.runs_out_on or FAR) <= (full.runs_out_on or FAR)
    assert (less.order_by or FAR) <= (full.order_by or FAR)


@settings(max_examples=40, deadline=None)
@given(NEEDS, USES, LEADS, st.integers(0, 900), st.integers(0, 30))
def test_a_longer_lead_time_never_moves_the_day_to_order_later(
    needs: tuple[Need, ...], use: Usual, takes: Lead, there: int, longer: int
) -> None:
    slow = Lead(tuple(days + longer for days in takes.days))
    soon, late = (ahead(shelf(there, lead=each), needs, use) for each in (takes, slow))
    assert (late.order_by or FAR) <= (soon.order_by or FAR)


@settings(max_examples=40, deadline=None)
@given(NEEDS, USES, st.integers(0, 20), st.integers(0, 900), st.integers(1, 700))
def test_ordering_what_is_advised_when_advised_never_runs_short_of_a_plan(
    needs: tuple[Need, ...], use: Usual, takes: int, there: int, pack: int
) -> None:
    before = shelf(there, lead=Lead((takes,)))
    seen = ahead(before, needs, use)
    if seen.first_short is None or seen.order_by is None or seen.order_by < TODAY:
        return
    lot = advise(seen.wanted, pack=D(pack))
    comes = Coming(lot.quantity, seen.order_by + timedelta(days=takes), "O1", seen.order_by)
    after = ahead(replace(before, coming=(comes,)), needs, use)
    assert after.first_short is None
    assert after.wanted == 0 or after.order_by is None or after.order_by > seen.order_by


@settings(max_examples=30, deadline=None)
@given(NEEDS, USES, LEADS, st.integers(0, 900))
def test_the_same_question_has_the_same_answer(needs: tuple[Need, ...], use: Usual, takes: Lead, there: int) -> None:
    first = ahead(shelf(there, lead=takes), needs, use, origin=11)
    forecast.cache_clear()
    assert ahead(shelf(there, lead=takes), needs, use, origin=11) == first


@settings(max_examples=30, deadline=None)
@given(NEEDS, USES, LEADS, st.integers(0, 900))
def test_bands_lie_in_order(needs: tuple[Need, ...], use: Usual, takes: Lead, there: int) -> None:
    shares = [Fraction(1, 40), Fraction(1, 10), Fraction(1, 2), Fraction(9, 10), Fraction(39, 40)]
    for row in ahead(shelf(there, lead=takes), needs, use).paths().bands(shares):
        assert list(row) == sorted(row)
