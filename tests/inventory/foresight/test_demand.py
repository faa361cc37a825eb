"""Usual use: uses made events, the habit they show, the season, what one batch takes."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, strategies as st

from inventory.foresight.demand import Event, Habit, Use, events, habit, middle, season
from inventory.foresight.intermittent import croston, sba, tsb
from inventory.money import from_steps

OPENED = date(2022, 1, 1)
EVEN = (Fraction(1),) * 12


def day(number: int) -> date:
    return OPENED + timedelta(number)


def grams(quantity: int | str) -> Decimal:
    return Decimal(quantity)


def use(number: int, quantity: int | str, batch: int | None = None) -> Use:
    return day(number), Decimal(quantity), batch


def seen(*uses: Use) -> list[tuple[int, Decimal | int, bool]]:
    return [((event.on - OPENED).days, event.quantity, event.batch) for event in events(uses)]


def every(gap: int, times: int, quantity: int | str = 480, first: int = 0) -> list[Event]:
    return [Event(day(first + gap * number), Decimal(quantity), batch=True) for number in range(times)]


quantities = st.integers(-5000, 9000).map(lambda steps: from_steps(steps, 3))
uses = st.lists(st.tuples(st.integers(0, 900).map(day), quantities, st.none() | st.integers(1, 5)), max_size=25)
shelves = st.lists(
    st.builds(
        Event,
        st.integers(0, 1200).map(day),
        st.integers(1, 9000).map(lambda steps: from_steps(steps, 3)),
        st.booleans(),
    ),
    max_size=25,
)


# Events


def test_a_batch_is_one_event_on_the_day_of_its_first_use() -> None:
    assert seen(use(9, 200, 7), use(3, 300, 7), use(12, -20, 7)) == [(3, 480, True)]


def test_without_a_batch_a_day_is_one_event() -> None:
    assert seen(use(3, 30), use(3, 20), use(4, 10)) == [(3, 50, False), (4, 10, False)]


def test_batches_that_start_on_one_day_are_one_event_apart_from_what_no_batch_took() -> None:
    assert seen(use(3, 480, 1), use(3, 520, 2), use(3, 5)) == [(3, 5, False), (3, 1000, True)]


def test_a_count_gain_is_taken_off_the_latest_events_before_it() -> None:
    assert seen(use(1, 100), use(5, 480, 1), use(9, 30), use(10, -60), use(12, 7)) == [
        (1, 100, False),
        (5, 450, True),
        (12, 7, False),
    ]


def test_a_count_gain_on_the_day_of_use_is_taken_off_that_use() -> None:
    assert seen(use(1, 100), use(5, 480, 1), use(5, -60)) == [(1, 100, False), (5, 420, True)]


def test_a_gain_before_any_use_is_forgotten() -> None:
    assert seen(use(1, -60), use(2, 50), use(3, -80), use(4, 5)) == [(4, 5, False)]


def test_a_batch_that_gave_back_more_than_it_took_lessens_what_was_used_before_the_return() -> None:
    assert seen(use(1, 480, 1), use(2, 10, 2), use(9, -30, 2)) == [(1, 460, True)]
    assert seen(use(1, 480, 1), use(2, 10, 2), use(5, 100), use(9, -30, 2)) == [(1, 480, True), (5, 80, False)]


def test_what_was_put_back_whole_was_no_use() -> None:
    assert seen(use(1, 480, 1), use(2, -480, 1), use(3, 0)) == []


@pytest.mark.parametrize("quantity", [0, -1])
def test_an_event_of_nothing_is_refused(quantity: int) -> None:
    with pytest.raises(ValueError, match="is not above zero"):
        Event(OPENED, Decimal(quantity), batch=False)


@given(uses)
def test_events_are_above_zero_in_order_and_one_a_day_and_kind(given_uses: list[Use]) -> None:
    found = events(given_uses)
    keys = [(event.on, event.batch) for event in found]
    assert all(event.quantity > 0 for event in found)
    assert [on for on, _ in keys] == sorted(on for on, _ in keys)
    assert len(set(keys)) == len(keys)
    assert sum(event.quantity for event in found) >= max(0, sum(quantity for _, quantity, _ in given_uses))


@given(uses)
def test_nothing_is_lost_where_enough_was_used_before(given_uses: list[Use]) -> None:
    before = (day(-1), Decimal(1000), None)
    found = events([before, *given_uses])
    assert sum(event.quantity for event in found) == sum(quantity for _, quantity, _ in (before, *given_uses))


# Habit


def test_no_use_is_no_habit() -> None:
    assert habit([], OPENED, day(400)) == Habit(assumed="no use on record")


def test_one_use_is_no_habit_yet() -> None:
    assert habit(every(1, 1), OPENED, day(40)) == Habit(last=OPENED, assumed="used once, which is no usual use yet")


def test_one_use_after_others_long_ago_is_one() -> None:
    assert habit([*every(1, 1), *every(1, 1, first=900)], OPENED, day(910)).gaps == (365,)


def test_a_shelf_was_there_when_it_was_used_whatever_its_first_day_says() -> None:
    """Else silence raised the rate: the gap would begin to grow with the age of the shelf after it had faded."""
    assert habit(every(40, 2), day(174), day(242)) == habit(every(40, 2), OPENED, day(242))


def test_the_rate_is_sba_by_the_day_from_the_shelfs_first_day_and_the_means() -> None:
    taken = {4: 500, 40: 300, 41: 450, 100: 480}
    series = [taken.get(number, 0) for number in range(120)]
    found = habit([Event(day(at), Decimal(size), batch=True) for at, size in taken.items()], OPENED, day(120))
    assert found.gaps == (36, 1, 59)
    assert found.sizes == tuple(map(grams, (500, 300, 450, 480)))
    assert found.assumed == ""
    assert found.rate == sba(series, start=(Fraction(1730, 4), Fraction(101, 4))).forecast


def test_a_material_used_on_the_day_it_came_is_not_taken_for_one_used_daily() -> None:
    """Four batches, one every 60 days. From the first interval on, as libraries start, it would seem a batch every 17 days."""
    batches = every(60, 4)
    by_first = croston([480 if number % 60 == 0 else 0 for number in range(181)])
    assert by_first.interval < 18
    assert Fraction(480, 60) <= habit(batches, OPENED, day(181)).rate <= Fraction(480, 45)


def test_two_kinds_on_one_day_are_one_day_of_use() -> None:
    on_one_day = [Event(OPENED, grams(5), batch=False), Event(OPENED, grams(480), batch=True)]
    found = habit([*on_one_day, *every(40, 2, first=40)], OPENED, day(90))
    assert (found.gaps, found.sizes) == ((40, 40), (grams(485), grams(480), grams(480)))


def test_uses_of_one_week_are_no_rhythm_yet() -> None:
    found = habit(every(1, 2, 100), OPENED, day(1))
    assert found.gaps == (29, 1)
    assert found.assumed == "used within 2 days only: taken as 2 times in 30 days"
    assert found.rate < Fraction(2 * 100, 27)
    later = habit(every(1, 2, 100, first=199), OPENED, day(200))
    assert later.gaps == (200, 1)
    assert later.rate < found.rate / 5


def test_a_habit_is_that_of_the_last_two_years_and_its_first_interval_is_known_from_before() -> None:
    old = every(100, 20, 50)
    found = habit(old, OPENED, day(1900))
    assert (len(found.sizes), set(found.gaps), len(found.gaps)) == (8, {100}, 8)
    assert found.rate == Fraction(50, 100) * Fraction(19, 20)
    assert habit(old[10:], old[10].on, day(1900)) == found  # older events need not be given


def test_use_that_began_anew_after_years_counts_from_there() -> None:
    found = habit([*every(10, 3), *every(10, 4, first=1500)], OPENED, day(1535))
    assert found.gaps == (365, 10, 10, 10)
    assert found.last == day(1530)


def test_use_after_the_day_is_not_seen() -> None:
    batches = every(60, 4)
    assert habit(batches, OPENED, day(130)) == habit(batches[:3], OPENED, day(130))


def test_a_material_is_alive_until_its_longest_gap_is_passed() -> None:
    batches = [*every(20, 3), *every(40, 2, first=80)]  # gaps 20, 20, 40, 40; 30 on average
    assert habit(batches, OPENED, day(120 + 40)).alive == 1
    assert habit(batches, OPENED, day(120 + 69)).alive == 1
    faded = habit(batches, OPENED, day(120 + 70))
    assert faded.alive == Fraction(9, 10)
    assert faded.gaps == (20, 20, 40, 40, 70)
    assert faded.rate < habit(batches, OPENED, day(120)).rate * Fraction(9, 10)
    assert faded.assumed == "not used for 70 days, 40 at most before: counted at 90 %"


def test_a_silence_longer_than_any_gap_is_one_more_gap() -> None:
    """Two batches in spring are no use for every second month at the year's end: about what they took, over the year."""
    two = every(62, 2, first=19)
    found = habit(two, OPENED, day(364))
    assert found.gaps == (62, 283)
    assert Fraction(8, 10) < found.rate / Fraction(2 * 480, 365) < Fraction(12, 10)


def test_it_falls_as_tsb_falls() -> None:
    daily = every(1, 60)
    silent = [habit(daily, OPENED, day(59 + silence)).alive for silence in range(1, 8)]
    assert silent == [tsb([1] * 60 + [0] * beyond, start=Fraction(1)).probability for beyond in range(7)]


def test_what_is_no_longer_used_is_not_ordered_for_ever() -> None:
    batches = every(30, 12)
    last = batches[-1].on
    rates = [habit(batches, OPENED, last + timedelta(silence)).rate for silence in range(0, 400, 5)]
    assert rates == sorted(rates, reverse=True)
    assert rates[0] > 0
    assert habit(batches, OPENED, last + timedelta(364)).rate < rates[0] / 2
    given_up = habit(batches, OPENED, last + timedelta(365))
    assert given_up == Habit(last=last, assumed="not used for 365 days: taken as no longer used")


def test_an_autumn_material_is_still_alive_before_its_third_autumn() -> None:
    batches = [*every(10, 9, first=277), *every(10, 9, first=277 + 365)]
    found = habit(batches, OPENED, day(277 + 730 - 1))
    assert (max(found.gaps), found.alive) == (285, Fraction(1))


@given(shelves, st.integers(-100, 1300), st.integers(0, 1300), st.integers(0, 800))
def test_silence_never_raises_the_rate(shelf: list[Event], since: int, on: int, more: int) -> None:
    shelf = [event for event in shelf if event.on <= day(on)]
    now, later = (habit(shelf, day(since), day(number)) for number in (on, on + more))
    assert 0 <= later.rate <= now.rate
    assert 0 <= later.alive <= now.alive <= 1


@given(shelves, st.integers(-100, 1300), st.integers(0, 1300))
def test_a_habit_holds_together(shelf: list[Event], since: int, on: int) -> None:
    found = habit(shelf, day(since), day(on))
    assert all(1 <= gap <= 365 for gap in found.gaps)
    assert all(size > 0 for size in found.sizes)
    assert bool(found.rate) == bool(found.alive) == bool(found.sizes) == bool(found.gaps)
    assert not found.sizes or abs(len(found.gaps) - len(found.sizes)) <= 1
    assert found.rate <= max(found.sizes, default=0)


# Season


def autumns(*years: int) -> list[Event]:
    return [Event(date(year, month, 5), Decimal(100), batch=True) for year in years for month in (10, 11)]


def test_no_season_before_two_whole_years() -> None:
    shelf = autumns(2022, 2023, 2024)
    assert season(shelf, date(2024, 10, 4)) == EVEN
    assert season(shelf, date(2024, 10, 5)) != EVEN
    assert season([], OPENED) == EVEN


def test_a_season_goes_half_way_from_even_to_the_share_of_the_month() -> None:
    factors = season(autumns(2022, 2023, 2024), date(2024, 12, 31))
    assert factors[9] == factors[10] == Fraction(7, 2)
    assert {*factors[:9], factors[11]} == {Fraction(1, 2)}


def test_even_use_has_no_season() -> None:
    even = [
        Event(date(year, month, 9), Decimal(30), batch=False) for year in (2022, 2023, 2024) for month in range(1, 13)
    ]
    assert season(even, date(2024, 6, 1)) == EVEN


def test_each_month_is_seen_as_often() -> None:
    """A third October begun is not yet a third one to the other months."""
    shelf = [Event(date(2022 + at // 12, at % 12 + 1, 3), Decimal(30), batch=False) for at in range(9, 9 + 25)]
    assert season(shelf, date(2024, 10, 3)) == EVEN


def test_two_years_are_counted_on_the_29th_of_february_too() -> None:
    assert season(autumns(2020, 2021, 2022, 2023), date(2024, 2, 29))[9] == Fraction(7, 2)


@given(shelves, st.integers(0, 1300))
def test_factors_are_one_on_average_and_never_below_a_half(shelf: list[Event], on: int) -> None:
    factors = season(shelf, day(on))
    assert sum(factors) == len(factors) == 12
    assert min(factors) >= Fraction(1, 2)


# What one batch takes


def test_the_usual_amount_is_the_middle_of_what_was_taken_at_once() -> None:
    taken = [Event(day(at), grams(size), batch=True) for at, size in ((1, 480), (9, 470), (20, 2000))]
    assert middle(taken) == 480
    assert middle([Event(day(1), grams(480), batch=True), Event(day(2), grams(500), batch=True)]) == 490
    assert middle([]) is None
