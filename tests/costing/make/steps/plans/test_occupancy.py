"""Tubs and frames: who holds them when, and where two batches want the same."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, strategies as st

from costing.make.steps.plans.rules import Clash, Stay, clashes, held_until
from costing.make.steps.schedule import Mark, Step, lay_out
from tests.factories import days_from

START = date(2025, 1, 20)
SOAK = Step("soak", "Take out", lasts_days=1, uses="tub")
BATH = Step("bath", "Take out", lasts_days=11, uses="tub")
OIL = Step("oil", "Oil")
LACE = Step("lace", "Lace", uses="frame")
STEPS = (SOAK, BATH, OIL, LACE)
day = days_from(START)


def held(marks: list[Mark], today: date = START) -> list[tuple[str, date, date]]:
    laid_out = lay_out(STEPS, START, marks, today=today)
    return [(laid.step.key, laid.begins, held_until(laid, today)) for laid in laid_out]


def test_a_place_is_held_as_long_as_its_step_lasts_and_for_its_day_by_a_step_of_no_days() -> None:
    assert held([]) == [
        ("soak", day(0), day(1)),
        ("bath", day(1), day(12)),
        ("oil", day(12), day(13)),
        ("lace", day(12), day(13)),
    ]


def test_what_was_logged_goes_before_what_was_planned() -> None:
    marks = [Mark("soak", day(2), "done"), Mark("bath", day(9), "done")]
    assert held(marks)[:2] == [("soak", day(0), day(2)), ("bath", day(2), day(9))]


def test_a_late_step_holds_its_place_today_still() -> None:
    soak, bath, _, lace = held([Mark("soak", day(1), "done")], today=day(15))
    assert (soak[2], bath[2], lace[1]) == (day(1), day(16), day(15))


def test_a_place_emptied_in_the_morning_is_free_that_day() -> None:
    assert clashes([Stay("B1", "T1", day(0), day(5)), Stay("B2", "T1", day(5), day(9))]) == []


def test_a_batch_does_not_clash_with_itself() -> None:
    assert clashes([Stay("B1", "T1", day(0), day(5)), Stay("B1", "T1", day(4), day(9))]) == []


def test_other_places_do_not_clash() -> None:
    assert clashes([Stay("B1", "T1", day(0), day(5)), Stay("B2", "T2", day(0), day(5))]) == []


def test_a_clash_names_the_days_the_batches_and_what_the_place_holds() -> None:
    stays = [
        Stay("B1", "rack", day(0), day(9)),
        Stay("B2", "rack", day(2), day(9)),
        Stay("B3", "rack", day(4), day(6)),
        Stay("B3", "rack", day(6), day(7)),
    ]
    assert clashes(stays, {"rack": 2}) == [Clash("rack", day(4), day(7), ("B1", "B2", "B3"), 2)]
    assert clashes(stays, {"rack": 3}) == []


def test_when_the_batches_in_a_clash_change_a_new_one_begins() -> None:
    stays = [Stay("B1", "T1", day(0), day(9)), Stay("B2", "T1", day(0), day(4)), Stay("B3", "T1", day(4), day(9))]
    assert clashes(stays) == [
        Clash("T1", day(0), day(4), ("B1", "B2"), 1),
        Clash("T1", day(4), day(9), ("B1", "B3"), 1),
    ]


@given(
    st.lists(st.tuples(st.sampled_from("ABCD"), st.integers(0, 20), st.integers(1, 9)), max_size=8), st.integers(1, 3)
)
def test_clashes_equal_counting_day_by_day(drawn: list[tuple[str, int, int]], holds: int) -> None:
    stays = [Stay(batch, "T", day(begins), day(begins + length)) for batch, begins, length in drawn]
    found = {
        clash.begins + timedelta(days=nth)
        for clash in clashes(stays, {"T": holds})
        for nth in range((clash.ends - clash.begins).days)
    }
    crowded = {
        day(nth)
        for nth in range(40)
        if len({stay.batch for stay in stays if stay.begins <= day(nth) < stay.ends}) > holds
    }
    assert found == crowded


def test_a_stay_of_no_days_cannot_be_written() -> None:
    with pytest.raises(ValueError, match="end after it begins"):
        Stay("B1", "T1", day(3), day(3))


def test_skins_and_not_batches_fill_a_set_of_frames() -> None:
    stays = [Stay("B1", "Frames", day(0), day(9), takes=3), Stay("B2", "Frames", day(5), day(12), takes=2)]
    assert clashes(stays, {"Frames": 5}) == []
    assert [clash.batches for clash in clashes(stays, {"Frames": 4})] == [("B1", "B2")]
