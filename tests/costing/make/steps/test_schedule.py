"""A batch's steps on the calendar: shifting, repeats, grace, refusals, planning backwards."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, strategies as st

from costing.make.errors import StepNotReady
from costing.make.steps import schedule
from costing.make.steps.schedule import Due, Mark, Step, dues, hands_minutes_total, lay_out, repeat_dates, waiting_days
from inventory.errors import Refused
from tests.factories import days_from

START = date(2025, 1, 20)

BATH = Step(
    "bath",
    "Take out of the bath",
    lasts_days=11,
    grace_days=3,
    every_days=1,
    repeat_name="Turn",
    hands_minutes=36,
    repeat_minutes=6,
    uses="tub",
)

OIL = Step("oil", "Oil", wait_days=1, hands_minutes=45)
REST = Step("rest", "Lace to the frame", lasts_days=2, hands_minutes=105)
FRAME = Step("frame", "Begin to soften", lasts_days=8, grace_days=1, uses="frame")
STEPS = (BATH, OIL, REST, FRAME)
day = days_from(START)


def asked(marks: list[Mark], on: date, ahead_days: int = 0) -> list[tuple[str, str, int]]:
    return [(due.words, due.state, due.late_days) for due in dues(STEPS, START, marks, on, ahead_days=ahead_days)]


def test_steps_follow_one_another_with_their_waits() -> None:
    laid = lay_out(STEPS, START, [])
    assert [(each.begins, each.due, each.latest) for each in laid] == [
        (day(0), day(11), day(14)),
        (day(12), day(12), day(12)),
        (day(12), day(14), day(14)),
        (day(14), day(22), day(23)),
    ]


@pytest.mark.parametrize(("ended", "shift"), [(9, -2), (11, 0), (15, 4)])
def test_early_and_late_steps_shift_what_follows(ended: int, shift: int) -> None:
    laid = lay_out(STEPS, START, [Mark("bath", day(ended), "done")])
    assert laid[0].ended == day(ended)
    assert laid[0].due == day(11)
    assert laid[-1].due == day(22 + shift)


def test_a_skipped_step_hands_on_the_day_it_is_skipped() -> None:
    marks = [Mark("bath", day(11), "done"), Mark("oil", day(11), "skipped")]
    oil, rest = lay_out(STEPS, START, marks)[1:3]
    assert (oil.skipped, oil.begins, oil.ended) == (True, day(11), day(11))
    assert rest.begins == day(11)


def test_a_late_open_step_pushes_the_plan_to_today() -> None:
    assert lay_out(STEPS, START, [], today=day(13))[1].due == day(14)
    assert lay_out(STEPS, START, [], today=day(5))[1].due == day(12)


@given(st.lists(st.integers(min_value=0, max_value=30), min_size=len(STEPS), max_size=len(STEPS)))
def test_every_step_is_counted_from_the_end_of_the_one_before(delays: list[int]) -> None:
    free, marks = START, []
    for step, delay in zip(STEPS, delays, strict=True):
        free += timedelta(days=step.wait_days + delay)
        marks.append(Mark(step.key, free, "done"))
    laid = lay_out(STEPS, START, marks)
    for before, after in pairwise(laid):
        assert before.ended is not None
        assert after.begins == before.ended + timedelta(days=after.step.wait_days)
        assert after.due == after.begins + timedelta(days=after.step.lasts_days)
    assert dues(STEPS, START, marks, free) == []


def test_a_repeat_is_due_every_so_often_after_the_step_began() -> None:
    assert asked([], day(0)) == []
    assert asked([], day(1)) == [("Turn", "due", 0)]
    assert asked([], day(3)) == [("Turn", "overdue", 2)]


def test_one_repeat_answers_all_that_were_missed() -> None:
    assert asked([Mark("bath", day(3), "repeat")], day(3)) == []
    assert asked([Mark("bath", day(3), "repeat")], day(4)) == [("Turn", "due", 0)]


def test_no_repeat_is_due_on_the_day_the_step_ends() -> None:
    marks = [Mark("bath", day(10), "repeat")]
    assert asked(marks, day(11)) == [("Take out of the bath", "due", 0)]


def test_a_step_left_in_too_long_goes_on_being_repeated() -> None:
    marks = [Mark("bath", day(10), "repeat")]
    assert asked(marks, day(12)) == [("Turn", "due", 0), ("Take out of the bath", "overdue", 1)]


def test_a_repeat_is_not_announced_for_after_the_step_should_have_ended() -> None:
    marks = [Mark("bath", day(10), "repeat")]
    assert asked(marks, day(10), ahead_days=3) == [("Take out of the bath", "coming", 0)]


def test_repeats_stop_when_the_step_ends() -> None:
    marks = [Mark("bath", day(8), "done")]
    assert asked(marks, day(9)) == [("Oil", "due", 0)]


def test_coming_reaches_no_further_than_asked() -> None:
    marks = [Mark("bath", day(8), "repeat")]
    assert [words for words, _, _ in asked(marks, day(8), ahead_days=2)] == ["Turn"]
    assert [words for words, _, _ in asked(marks, day(8), ahead_days=3)] == ["Turn", "Take out of the bath"]


def test_lateness_harms_only_beyond_the_days_of_grace() -> None:
    marks = [Mark("bath", day(14), "repeat")]
    [late] = dues(STEPS, START, marks, day(14), ahead_days=0)
    assert (late.state, late.late_days, late.harms) == ("overdue", 3, False)
    later = next(due for due in dues(STEPS, START, marks, day(15)) if not due.is_repeat)
    assert later.harms


def test_a_repeat_has_no_grace_and_carries_its_own_minutes() -> None:
    [turn] = dues(STEPS, START, [], day(2), ahead_days=0)
    assert (turn.is_repeat, turn.minutes, turn.harms) == (True, 6, True)


def due(grace: int, late: int, nth: int) -> Due:
    on = START - timedelta(days=late)
    state = "overdue" if late > 0 else "due" if late == 0 else "coming"
    return Due(f"s{nth}", "", on, on + timedelta(days=grace), max(late, 0), state, False, 0)


def test_what_harms_stands_first_then_the_most_perishable_then_the_older() -> None:
    coming, safe, tender, older, harmed = due(0, -1, 0), due(5, 2, 1), due(0, 0, 2), due(5, 3, 3), due(2, 4, 4)
    ordered = sorted([coming, safe, tender, older, harmed], key=schedule.urgency)
    assert ordered == [harmed, tender, older, safe, coming]


@pytest.mark.parametrize(
    ("marks", "words"),
    [
        ([Mark("lime", START, "done")], "no such step"),
        ([Mark("bath", day(-1), "repeat")], "the batch starts on"),
        ([Mark("oil", day(3), "done")], "“Take out of the bath” comes before it"),
        ([Mark("bath", day(11), "done"), Mark("oil", day(11), "done")], f"it begins on {day(12)}"),
        ([Mark("bath", day(11), "done"), Mark("bath", day(11), "done")], f"it was done on {day(11)}"),
        ([Mark("bath", day(11), "skipped"), Mark("bath", day(12), "repeat")], f"it was skipped on {day(11)}"),
        ([Mark("bath", day(5), "repeat"), Mark("bath", day(4), "repeat")], f"already at {day(5)}"),
        ([Mark("bath", day(11), "done"), Mark("oil", day(12), "repeat")], "nothing in it repeats"),
    ],
)
def test_a_log_that_cannot_have_happened_is_refused(marks: list[Mark], words: str) -> None:
    with pytest.raises(StepNotReady, match=words) as refusal:
        lay_out(STEPS, START, marks)
    assert isinstance(refusal.value, Refused)
    assert isinstance(refusal.value, ValueError)
    assert (refusal.value.step, refusal.value.on) == (marks[-1].step, marks[-1].on)


@pytest.mark.parametrize(
    "wrong",
    [
        {"lasts_days": -1},
        {"hands_minutes": -1},
        {"every_days": 1, "lasts_days": 4},
        {"repeat_name": "Turn", "lasts_days": 4},
        {"every_days": 1, "repeat_name": "Turn"},
    ],
)
def test_a_step_that_makes_no_sense_cannot_be_written(wrong: dict[str, int]) -> None:
    with pytest.raises(ValueError, match=r"step|repeat"):
        Step("s", "A step", **wrong)  # type: ignore[arg-type]


def test_two_steps_cannot_share_a_key() -> None:
    with pytest.raises(ValueError, match="keys of their own"):
        lay_out([OIL, OIL], START, [])


def test_the_plan_ends_when_its_waiting_is_over() -> None:
    assert day(waiting_days(STEPS)) == day(22) == lay_out(STEPS, START, [])[-1].due


def test_hands_count_once_a_step_and_once_a_repeat() -> None:
    assert len(repeat_dates(lay_out(STEPS, START, [])[0])) == 10
    assert hands_minutes_total(STEPS) == 36 + 10 * 6 + 45 + 105


def test_a_batch_without_steps_asks_for_nothing() -> None:
    assert lay_out([], START, []) == ()
    assert dues([], START, [], START) == []
    assert waiting_days([]) == 0


@pytest.mark.parametrize(("grace", "anyone", "harms"), [(0, True, True), (0, False, False), (5, True, False)])
def test_a_plan_is_late_to_begin_and_harms_only_whom_it_names(grace: int, anyone: bool, harms: bool) -> None:
    flesh = Step("flesh", "Flesh and salt", grace_days=grace, hands_minutes=30)
    (due,) = dues([flesh, BATH], START, [], day(3), begun=False, anyone=anyone)
    assert (due.words, due.state, due.late_days, due.to_begin) == ("Flesh and salt", "overdue", 3, True)
    assert (due.harms, due.minutes) == (harms, 30)


def test_a_plan_is_coming_until_its_day_and_due_on_it() -> None:
    flesh = Step("flesh", "Flesh and salt")
    near = [dues([flesh], START, [], day(nth), begun=False) for nth in (-4, -3, 0)]
    assert [[due.state for due in found] for found in near] == [[], ["coming"], ["due"]]


def test_a_plan_that_begins_with_a_step_that_lasts_asks_to_begin_it_not_to_turn_it() -> None:
    (due,) = dues(STEPS, START, [], day(4), begun=False, anyone=False)
    assert (due.words, due.due, due.late_days, due.is_repeat, due.minutes) == ("bath", START, 4, False, 0)
