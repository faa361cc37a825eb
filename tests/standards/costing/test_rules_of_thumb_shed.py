"""Days and minutes makers go by in the shed, laid out through the schedule: common practice, no source.

None of them is a recommendation and none is in the program: they are checks that a plan written with such figures comes
out on the days a maker would count on the fingers.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from costing.make.labour.rules import pays_until, usual
from costing.make.steps.schedule import Mark, Step, dues, hands_minutes_total, lay_out, repeat_dates, waiting_days

START = date(2025, 1, 11)


def logged_daily(step: Step, marks: int) -> list[Mark]:
    return [Mark(step.key, START + timedelta(days=nth), "repeat") for nth in range(1, marks + 1)]


def asked_on(step: Step, marks: list[Mark], on: date) -> list[str]:
    return [due.words for due in dues([step], START, marks, on, ahead_days=0)]


@pytest.mark.parametrize("days", [3, 4])
def test_salted_skins_are_drained_daily_for_three_to_four_days(days: int) -> None:
    """Common practice, no source: drained every day, then taken up."""
    salt = Step("salt", "Take up", days, every_days=1, repeat_name="Drain", repeat_minutes=12)
    marks: list[Mark] = []
    for nth in range(1, days):
        on = START + timedelta(days=nth)
        assert asked_on(salt, marks, on) == ["Drain"]
        marks.append(Mark("salt", on, "repeat"))
        assert asked_on(salt, marks, on) == []
    assert asked_on(salt, marks, START + timedelta(days=days)) == ["Take up"]


@pytest.mark.parametrize(("days", "turns"), [(7, 6), (11, 10), (14, 13)])
def test_an_alum_bath_of_one_to_two_weeks_is_turned_every_day_in_it(days: int, turns: int) -> None:
    """Common practice, no source: 7 to 14 days, turned daily, taken out on the last."""
    bath = Step("bath", "Take out", days, every_days=1, repeat_name="Turn", repeat_minutes=6, uses="tub")
    [laid] = lay_out([bath], START, [])
    assert len(repeat_dates(laid)) == turns
    assert hands_minutes_total([bath]) == turns * 6
    assert START + timedelta(days=7) <= laid.due <= START + timedelta(days=14)
    assert asked_on(bath, logged_daily(bath, turns), laid.due) == ["Take out"]


def test_a_day_without_turning_is_late_the_next_morning_and_harms() -> None:
    """Common practice, no source: a missed day is what ruins skins."""
    bath = Step("bath", "Take out", 11, every_days=1, repeat_name="Turn")
    [turn] = dues([bath], START, logged_daily(bath, 4), START + timedelta(days=6), ahead_days=0)
    assert (turn.words, turn.late_days, turn.harms) == ("Turn", 1, True)


@pytest.mark.parametrize("minutes", [15, 30, 45])
def test_neutralising_takes_minutes_and_not_a_day(minutes: int) -> None:
    """Common practice, no source: 15 to 45 minutes, so what follows is due the same day."""
    steps = [Step("neutral", "Neutralise", hands_minutes=minutes), Step("drip", "Hang to drip", hands_minutes=10)]
    assert lay_out(steps, START, [])[1].begins == START
    [due] = dues(steps, START, [], START)
    assert (due.state, due.minutes) == ("due", minutes)
    after = dues(steps, START, [Mark("neutral", START, "done")], START)
    assert [(each.words, each.state) for each in after] == [("Hang to drip", "due")]


def test_oiled_skins_rest_about_two_days_before_the_frame() -> None:
    """Common practice, no source."""
    steps = [Step("oil", "Oil"), Step("lace", "Lace to the frame", wait_days=2, uses="frame")]
    marks = [Mark("oil", START + timedelta(days=1), "done")]
    assert lay_out(steps, START, marks)[1].due == START + timedelta(days=3)
    [due] = dues(steps, START, marks, START + timedelta(days=2))
    assert (due.words, due.state) == ("Lace to the frame", "coming")


@pytest.mark.parametrize(("days", "grace"), [(3, 1), (8, 2), (21, 3)])
def test_frames_dry_for_days_to_weeks_and_softening_cannot_wait_long(days: int, grace: int) -> None:
    """Common practice, no source: 3 to 21 days on the frame, and then a few damp days in which it softens."""
    frame = Step("frame", "Soften", days, grace_days=grace, uses="frame")
    ready = START + timedelta(days=days)
    harms = [
        due.harms
        for nth in range(grace + 2)
        for due in dues([frame], START, [], ready + timedelta(days=nth), ahead_days=0)
    ]
    assert harms == [False] * (grace + 1) + [True]


def test_softening_is_hours_in_sessions_of_about_twenty_minutes() -> None:
    """Common practice, no source: 2 to 6 hours a skin in sessions of 10 to 40 minutes; the demonstration's own log."""
    sessions = {"H01": (205, 6), "H02": (190, 6), "H03": (265, 8), "H04": (250, 7), "H06": (230, 7)}
    found = usual([minutes for minutes, _ in sessions.values()])
    assert found is not None
    assert (found.median, found.low, found.high) == (230, 190, 265)
    assert all(10 <= minutes / times <= 40 for minutes, times in sessions.values())
    steps = [Step(f"s{nth}", "Soften, a session", hands_minutes=20) for nth in range(12)]
    assert 2 * 60 <= hands_minutes_total(steps) <= 6 * 60
    assert waiting_days(steps) == 0


def test_most_of_the_time_is_waiting_and_the_fair_sets_the_day_to_flesh() -> None:
    """Common practice, no source: 30 to 90 days pass; counted back from a fair, every step's last day follows."""
    steps = [
        Step("flesh", "Flesh and salt", hands_minutes=330),
        Step("salt", "Take up", 8, every_days=2, repeat_name="Drain", repeat_minutes=12),
        Step("soak", "Wash", 1, hands_minutes=120, uses="tub"),
        Step("bath", "Take out and neutralise", 11, every_days=1, repeat_name="Turn", repeat_minutes=6, uses="tub"),
        Step("oil", "Oil", wait_days=1, hands_minutes=45),
        Step("lace", "Lace to the frame", wait_days=2, hands_minutes=105),
        Step("frame", "Soften", 8, grace_days=2, hands_minutes=220, uses="frame"),
        Step("finish", "Comb and trim", wait_days=8, hands_minutes=32),
    ]
    fair = date(2025, 4, 12)
    flesh_by = fair - timedelta(days=waiting_days(steps))
    assert flesh_by == date(2025, 3, 4)
    assert lay_out(steps, flesh_by, [])[-1].due == fair
    assert 30 <= waiting_days(steps) <= 90
    assert hands_minutes_total(steps) < waiting_days(steps) * 24 * 60 / 20


def test_a_rug_at_list_price_bears_about_ten_hours_at_the_wage() -> None:
    """Common practice, no source: time is the cost, not alum; 185 less 20 paid out at 16 an hour."""
    assert 10 * 60 <= pays_until(185, 20, Decimal(16)) < 11 * 60
