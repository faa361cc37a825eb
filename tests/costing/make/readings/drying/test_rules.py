"""The drying curve told from weighings, and the range that two of them leave."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, strategies as st

from costing.make.readings.drying.rules import Estimate, Reading, Window, course, estimate
from inventory.errors import Refused

UP = datetime(2025, 2, 3, 9, tzinfo=UTC)


def curve(dry: float, water: float, per_day: float, days: list[float]) -> list[Reading]:
    return [Reading(UP + timedelta(days=at), Decimal(f"{dry + water * math.exp(-per_day * at):.3f}")) for at in days]


def daily(*grams: int | Decimal) -> list[Reading]:
    return [Reading(UP + timedelta(days=nth), Decimal(each)) for nth, each in enumerate(grams)]


def softening_window(readings: list[Reading]) -> Window:
    return course(readings).window


@given(st.integers(500, 3000), st.integers(1000, 4000), st.floats(0.1, 0.8))
def test_a_perfect_curve_is_found_again_without_its_dry_weight(dry: int, water: int, per_day: float) -> None:
    found = softening_window(curve(dry, water, per_day, [0, 0.8, 2, 3.5, 5]))
    expected = UP + timedelta(days=-math.log(0.4) / per_day)
    assert abs(found.dry_g - dry) <= 2
    assert abs((found.begins - expected).total_seconds()) <= 900


def test_the_window_lies_between_two_fifths_and_one_fifth_of_the_water() -> None:
    found = softening_window(curve(1000, 2000, 0.3, [0, 1, 2]))
    assert found.dry_g == Decimal(1000)
    assert (found.begins_g, found.ends_g) == (Decimal(1800), Decimal(1400))
    hours = (found.ends - found.begins).total_seconds() / 3600
    assert abs(hours - 24 * math.log(2) / 0.3) < 0.1


def test_readings_that_wobble_are_borne() -> None:
    found = softening_window(daily(3000, 2480, 2105, 1800))
    assert UP.date() + timedelta(days=2) <= found.begins.date() <= UP.date() + timedelta(days=4)
    assert found.begins < found.ends


def test_the_course_runs_from_the_first_weighing_to_the_end_of_the_window_and_falls() -> None:
    readings = curve(1000, 2000, 0.3, [0, 1, 2])
    found = course(readings)
    assert found.window == softening_window(readings)
    assert [each.grams for each in found.weighed] == [each.grams for each in readings]
    times, weights = zip(*found.line, strict=True)
    assert (times[0], weights[0], weights[-1]) == (UP, Decimal(3000), Decimal(1400))
    assert abs(times[-1] - found.window.ends) < timedelta(minutes=1)
    assert list(weights) == sorted(weights, reverse=True)
    assert list(times) == sorted(times)


def test_the_course_reaches_the_last_weighing_where_that_is_past_the_window() -> None:
    found = course(curve(1000, 2000, 0.5, [0, 2, 4, 9]))
    assert found.window.ends < found.weighed[-1].at
    assert found.line[-1][0] == found.weighed[-1].at


def test_water_left_is_told_of_what_the_first_weighing_held() -> None:
    found = course(curve(1000, 2000, 0.3, [0, 1, 2]))
    assert [found.water_left(Decimal(grams)) for grams in (3000, 1800, 1400, 1000)] == [100, 40, 20, 0]


def test_the_night_when_the_clock_changes_dries_no_skin_faster() -> None:
    zone = ZoneInfo("Europe/Helsinki")
    before, after = datetime(2025, 3, 29, 9, tzinfo=UTC), datetime(2025, 1, 6, 9, tzinfo=UTC)
    told = []
    for start in (before, after):
        weights = curve(1000, 2000, 0.3, [0, 1, 2])
        times = [(start + (each.at - UP)).astimezone(zone) for each in weights]
        found = softening_window([Reading(at, each.grams) for at, each in zip(times, weights, strict=True)])
        assert found.begins.tzinfo is zone
        told.append((found.begins.astimezone(UTC) - start, found.ends.astimezone(UTC) - start, found.dry_g))
    assert told[0] == told[1]


def test_the_order_of_entry_does_not_matter_and_zones_are_kept() -> None:
    readings = curve(1000, 2000, 0.3, [0, 1, 2, 3])
    assert softening_window(readings[::-1]) == softening_window(readings)
    assert softening_window(readings).begins.tzinfo is UTC


def test_fewer_than_three_weighings_tell_nothing() -> None:
    for count, said in enumerate(("was not weighed yet", "was weighed once", "was weighed twice")):
        with pytest.raises(Refused, match=f"{said}, and it takes three weighings"):
            softening_window(curve(1000, 2000, 0.3, [0, 1])[:count])


@pytest.mark.parametrize(
    ("weights", "words"),
    [
        ([3000, 2500, 2600], "the weight rose from 2\u202f500 g"),
        ([3000, 3000, 3000], "stayed at 3\u202f000 g"),
        ([3000, 2500, 2000, 1500], "straight line"),
        ([3000, 2800, 2300, 1500], "straight line"),
    ],
)
def test_weights_that_tell_no_drying_are_refused(weights: list[int], words: str) -> None:
    with pytest.raises(Refused, match=words) as refusal:
        softening_window(daily(*weights))
    assert refusal.value.field == "weight"


def test_two_weights_at_one_moment_are_refused() -> None:
    readings = [*curve(1000, 2000, 0.3, [0, 1, 2]), Reading(UP, Decimal(2990))]
    with pytest.raises(Refused, match="two weights"):
        softening_window(readings)


def test_a_skin_that_hardly_dries_has_no_day() -> None:
    with pytest.raises(Refused, match="more than a year"):
        softening_window(curve(1000, 2000, 0.003, [0, 100, 200, 300]))


def test_a_reading_without_weight_cannot_be_written() -> None:
    with pytest.raises(Refused, match="it must be above 0"):
        Reading(UP, Decimal(-5))


def later(days: float) -> datetime:
    return UP + timedelta(days=days)


@given(st.integers(1000, 4000), st.floats(0.42, 0.68), st.floats(0.15, 0.8), st.floats(0.5, 2.0))
def test_what_really_happens_lies_within_what_two_weighings_tell(
    first: int, loses: float, per_day: float, apart: float
) -> None:
    dry = first * (1 - loses)
    found = estimate(curve(dry, first - dry, per_day, [0, apart]))
    for part, (soonest, latest) in ((0.4, found.begins), (0.2, found.ends)):
        really = later(-math.log(part) / per_day)
        assert soonest - timedelta(minutes=2) <= really <= latest + timedelta(minutes=2)
    assert found.dry_g[0] <= dry <= found.dry_g[1]


def width(found: Estimate) -> timedelta:
    return found.begins[1] - found.begins[0]


def test_the_range_is_narrower_with_the_dry_weight_that_the_maker_expects_but_no_point() -> None:
    weighed = curve(1500, 1500, 0.3, [0, 1])
    alone, told = estimate(weighed), estimate(weighed, Decimal(1500))
    assert timedelta(hours=12) < width(told) < width(alone)
    assert told.dry_g == (Decimal(1350), Decimal(1650))


def test_a_later_weighing_narrows_the_range() -> None:
    soon, late = (estimate(curve(1500, 1500, 0.3, [0, day]), Decimal(1500)) for day in (0.3, 2))
    assert width(late) < width(soon)


def test_a_fall_that_the_scale_may_be_off_by_tells_nothing() -> None:
    with pytest.raises(Refused, match="it has lost 50 g so far, which a scale may be off by"):
        estimate(daily(3000, 2950))


def test_a_skin_that_lost_more_than_is_usual_is_estimated_still() -> None:
    found = estimate(daily(3000, 700))
    assert found.dry_g[0] < found.dry_g[1] < 700
    assert found.begins[0] <= found.begins[1] < later(1)


def test_one_weighing_is_no_estimate() -> None:
    with pytest.raises(Refused, match="weighed once, and it takes two weighings for a first estimate"):
        estimate(daily(3000))


def test_a_pace_that_would_take_a_year_is_none() -> None:
    with pytest.raises(Refused, match="more than a year"):
        estimate(curve(1500, 1500, 0.001, [0, 80]))


def test_the_dry_weight_that_the_maker_expects_bends_the_curve() -> None:
    straight = daily(3000, 2500, 2000, 1500)
    found = course(straight, Decimal(1200))
    assert found.window.dry_g == 1200
    assert UP < found.window.begins < found.window.ends


def test_a_skin_is_dry_at_the_weight_that_the_maker_said() -> None:
    for tell in (course, estimate):
        with pytest.raises(
            Refused, match="It weighs 1\u202f500 g: dry, by the dry weight of 1\u202f500 g that you set"
        ):
            tell(daily(3000, 2000, 1500), Decimal(1500))
