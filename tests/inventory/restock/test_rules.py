"""Looking ahead: when a material runs out, by when to order, how much."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from inventory.restock.rules import FAR_DAYS, Need, Supply, average_daily, outlook

TODAY = date(2025, 12, 31)
ALUM = Supply(on_hand=Decimal(560), lead_days=9, safety_days=3, pack=Decimal(2000))


def need(days: int, quantity: int | str) -> Need:
    return Need(TODAY + timedelta(days), Decimal(quantity), "planned batch")


def test_alum_for_four_sheepskins_is_one_pack_ordered_today() -> None:
    seen = outlook(ALUM, [Need(date(2026, 1, 12), Decimal(1920), "four sheepskins")], TODAY)
    assert seen.runs_out_on == date(2026, 1, 12)
    assert seen.order_by == date(2025, 12, 31)
    assert (seen.needed, seen.short, seen.packs) == (Decimal(1920), Decimal(1360), 1)
    assert seen.alert
    assert (seen.reason, seen.spoils) == ("planned", False)


def test_the_chart_steps_down_on_the_planned_day() -> None:
    seen = outlook(ALUM, [need(12, 1920)], TODAY)
    planned = date(2026, 1, 12)
    assert seen.points == ((TODAY, Decimal(560)), (planned, Decimal(560)), (planned, Decimal(-1360)))


def test_no_use_and_no_plan_never_runs_out() -> None:
    seen = outlook(ALUM, [], TODAY)
    assert (seen.runs_out_on, seen.order_by, seen.alert) == (None, None, False)
    assert (seen.reason, seen.packs) == ("none", 0)
    assert seen.points == ((TODAY, Decimal(560)),)


def test_an_empty_shelf_that_nobody_uses_is_no_alarm() -> None:
    assert outlook(Supply(on_hand=Decimal(0), pack=Decimal(10)), [], TODAY).alert is False


def test_average_use_alone_empties_the_shelf_on_its_day() -> None:
    supply = Supply(Decimal(100), daily_use=Fraction(10), lead_days=3, safety_days=2, pack=Decimal(50))
    seen = outlook(supply, [], TODAY)
    assert (seen.runs_out_on, seen.order_by) == (TODAY + timedelta(10), TODAY + timedelta(5))
    assert seen.needed == seen.short == 0
    assert seen.reason == "usual_use"
    assert seen.points == ((TODAY, Decimal(100)), (TODAY + timedelta(10), Decimal(0)))


def test_part_of_a_day_is_the_day_on_which_the_stock_is_gone() -> None:
    assert outlook(Supply(Decimal(10), daily_use=Fraction(3)), [], TODAY).runs_out_on == TODAY + timedelta(4)


def test_average_use_starts_only_after_the_last_planned_need() -> None:
    supply = Supply(Decimal(100), daily_use=Fraction(10))
    seen = outlook(supply, [need(20, 40), need(30, 40)], TODAY)
    assert (seen.runs_out_on, seen.reason) == (TODAY + timedelta(32), "usual_use")
    assert seen.short == 0


@pytest.mark.thorough
def test_average_use_packs_last_lead_safety_and_thirty_days() -> None:
    supply = Supply(Decimal(100), daily_use=Fraction(10), lead_days=3, safety_days=2, pack=Decimal(10))
    assert outlook(supply, [], TODAY).packs == 3 + 2 + 30


def test_average_use_buys_at_least_one_pack() -> None:
    supply = Supply(Decimal(1), daily_use=Fraction(1, 100), pack=Decimal(25000))
    assert outlook(supply, [], TODAY).packs == 1


def test_planned_packs_just_cover_the_shortage() -> None:
    supply = Supply(Decimal(0), pack=Decimal(1000), daily_use=Fraction(500))
    assert outlook(supply, [need(3, 2000)], TODAY).packs == 2
    assert outlook(supply, [need(3, "2000.001")], TODAY).packs == 3


def test_bought_loose_has_no_packs() -> None:
    assert outlook(Supply(Decimal(0)), [need(3, 5)], TODAY).packs == 0


def test_a_plan_that_takes_exactly_what_is_there_is_enough() -> None:
    seen = outlook(ALUM, [need(12, 560)], TODAY)
    assert (seen.runs_out_on, seen.alert) == (None, False)
    assert seen.short == 0


def test_a_plan_that_takes_all_leaves_usual_use_with_nothing_from_that_day() -> None:
    seen = outlook(Supply(Decimal(560), daily_use=Fraction(4)), [need(12, 560)], TODAY)
    assert (seen.runs_out_on, seen.reason) == (TODAY + timedelta(12), "usual_use")


def test_the_first_need_that_cannot_be_met_is_the_day() -> None:
    seen = outlook(ALUM, [need(40, 300), need(12, 300), need(25, 300)], TODAY)
    assert seen.runs_out_on == TODAY + timedelta(25)
    assert (seen.needed, seen.short) == (Decimal(900), Decimal(340))


def test_an_overdue_need_counts_today() -> None:
    seen = outlook(ALUM, [need(-5, 500), need(0, 100)], TODAY)
    assert seen.runs_out_on == TODAY
    assert seen.points == ((TODAY, Decimal(560)), (TODAY, Decimal(-40)))
    assert (seen.needed, seen.short) == (Decimal(600), Decimal(40))


@pytest.mark.parametrize(("look_ahead", "alert"), [(4, False), (5, True)])
def test_the_alert_comes_when_the_order_day_is_in_sight(look_ahead: int, alert: bool) -> None:
    supply = Supply(Decimal(100), daily_use=Fraction(10), lead_days=3, safety_days=2)
    assert outlook(supply, [], TODAY, look_ahead_days=look_ahead).alert is alert


@pytest.mark.parametrize(("days", "alert"), [(14, True), (15, False)])
def test_unless_told_otherwise_two_weeks_are_in_sight(days: int, alert: bool) -> None:
    assert outlook(Supply(Decimal(days), daily_use=Fraction(1)), [], TODAY).alert is alert


def test_a_pack_that_outlives_its_shelf_life_is_told() -> None:
    def egg(shelf_life: int) -> Supply:
        return Supply(Decimal(10), daily_use=Fraction(1, 2), pack=Decimal(10), shelf_life_days=shelf_life)

    assert outlook(egg(19), [], TODAY).spoils is True
    assert outlook(egg(20), [], TODAY).spoils is False


def test_stock_for_more_than_ten_years_does_not_run_out() -> None:
    daily = Fraction(1, 365)
    far = outlook(Supply(Decimal(10**9), daily_use=daily, pack=Decimal(1)), [], TODAY)
    assert (far.runs_out_on, far.reason, far.packs, far.alert) == (None, "none", 0, False)
    assert far.points == ((TODAY, Decimal(10**9)),)
    at_limit = outlook(Supply(Decimal(FAR_DAYS), daily_use=Fraction(1)), [], TODAY)
    assert (at_limit.runs_out_on, at_limit.reason) == (TODAY + timedelta(FAR_DAYS), "usual_use")
    beyond = outlook(Supply(Decimal(FAR_DAYS) + 1, daily_use=Fraction(1)), [], TODAY)
    assert (FAR_DAYS, beyond.runs_out_on, beyond.reason) == (3650, None, "none")


@pytest.mark.parametrize("wrong", [{"on_hand": Decimal(-1)}, {"daily_use": Fraction(-1)}, {"lead_days": -1}])
def test_a_supply_below_zero_is_an_error(wrong: dict[str, Decimal]) -> None:
    with pytest.raises(ValueError, match="below zero"):
        Supply(**({"on_hand": Decimal(1)} | wrong))  # type: ignore[arg-type]


def test_an_empty_pack_and_a_negative_need_are_errors() -> None:
    with pytest.raises(ValueError, match="pack must hold more"):
        Supply(Decimal(1), pack=Decimal(0))
    with pytest.raises(ValueError, match="below zero"):
        need(1, -1)


def test_average_is_over_a_year_or_the_life_of_a_younger_shelf_of_thirty_days_at_least() -> None:
    assert average_daily(Decimal(730), TODAY - timedelta(3650), TODAY) == 2
    assert average_daily(Decimal(730), TODAY - timedelta(364), TODAY) == 2
    assert average_daily(Decimal(730), TODAY - timedelta(72), TODAY) == 10
    assert average_daily(Decimal(60), TODAY, TODAY) == 2
    assert average_daily(Decimal(0), TODAY, TODAY) == average_daily(Decimal(-5), TODAY, TODAY) == 0
    assert isinstance(average_daily(Decimal(1), TODAY, TODAY), Fraction)


NEEDS = st.lists(st.builds(need, st.integers(-5, 60), st.integers(0, 500)), max_size=5)


def slow_run_out(supply: Supply, needs: list[Need]) -> date | None:
    """Walk day by day: the same rule without the arithmetic."""
    last = max([TODAY, *(each.on for each in needs)])
    left = Fraction(supply.on_hand)
    for step in range(200):
        day = TODAY + timedelta(step)
        for each in needs:
            if max(each.on, TODAY) == day:
                left -= Fraction(each.quantity)
        if day > last:
            left -= Fraction(supply.daily_use)
        if left < 0 or (day >= last and left <= 0 and supply.daily_use):
            return day
    return None


@settings(max_examples=60, deadline=None)
@given(NEEDS, st.integers(0, 900), st.sampled_from([Fraction(0), Fraction(15), Fraction(50, 3), Fraction(400)]))
def test_the_run_out_day_equals_a_day_by_day_walk(needs: list[Need], on_hand: int, daily: Fraction) -> None:
    supply = Supply(Decimal(on_hand), daily_use=daily)
    assert outlook(supply, needs, TODAY).runs_out_on == slow_run_out(supply, needs)


@settings(max_examples=60, deadline=None)
@given(NEEDS, st.integers(0, 900), st.integers(1, 700))
def test_the_packs_advised_for_a_plan_cover_it_and_one_less_does_not(
    needs: list[Need], on_hand: int, pack: int
) -> None:
    supply = Supply(Decimal(on_hand), pack=Decimal(pack))
    seen = outlook(supply, needs, TODAY)
    assert seen.short == max(Decimal(0), seen.needed - on_hand)
    if seen.packs:
        assert on_hand + seen.packs * pack >= seen.needed
        assert on_hand + (seen.packs - 1) * pack < seen.needed
    else:
        assert seen.needed <= on_hand
