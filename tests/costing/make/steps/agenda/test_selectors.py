"""What is due over all batches: which are live, what is said of a task, what is at risk, and in what order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.batches.stays import services as batches
from costing.make.cost.rates import services as rates
from costing.make.cost.rates.rules import Rates
from costing.make.cost.rules import Share
from costing.make.labour import services as labour
from costing.make.labour.sessions import services as sessions
from costing.make.losses import services as losses
from costing.make.recipes.services import Step
from costing.make.steps.agenda import selectors as dues
from costing.make.steps.agenda.selectors import NOWHERE, Task
from costing.make.steps.marks import services as marks
from costing.models import Batch, BatchSkin, LabourLine, StepMark
from inventory.base import selectors as workshop
from inventory.models import Skin
from tests import factories as make
from tests.factories import days_from

pytestmark = pytest.mark.django_db
D = Decimal
START = date(2025, 1, 20)
FLESH = Step("Flesh and salt", minutes=30)

BATH = Step(
    "Bath",
    task="Take out",
    kind="bath",
    lasts_days=11,
    grace_days=3,
    every_days=1,
    repeat="Turn",
    minutes=30,
    minutes_per_skin=2,
    repeat_minutes=6,
    uses="tub",
    caution="Open every fold.",
)

FRAME = Step("Frame", task="Unlace", lasts_days=8, uses="frame")
TRIM = Step("Trim")
day = days_from(START)


def tub(number: str = "B1", *tags: str, steps: tuple[Step, ...] = (BATH, FRAME, TRIM), **options: Any) -> Batch:
    for tag in tags:
        make.skin(tag, date_in=START)
    version = make.recipe(f"R-{number}", steps=steps)
    return make.batch(number, version=version, start=START, tags=tags, **options)


def log(batch: Batch, name: str, kind: str, nth: int, minutes: int | None = None) -> StepMark:
    hands = None if minutes is None else D(minutes)
    return marks.log(batch=batch, step=batch.version.steps.get(name=name), kind=kind, on=day(nth), minutes=hands)


def asked(nth: int, ahead_days: int = 0) -> list[tuple[str, str, str]]:
    return [(task.batch.number, task.due.words, task.due.state) for task in dues.tasks(day(nth), ahead_days)]


def one(nth: int) -> Task:
    (task,) = dues.tasks(day(nth), 0)
    return task


def test_a_turn_not_made_is_overdue_since_its_day() -> None:
    bath = tub("B1", "H01", "H02")
    log(bath, "Bath", "repeat", 1)
    task = one(4)
    assert (task.due.words, task.due.state, task.due.due, task.due.late_days) == ("Turn", "overdue", day(2), 2)
    assert (task.step.name, task.nth, task.of, task.skins) == ("Bath", 4, 11, ("H01", "H02"))


def test_a_session_since_the_last_entry_says_that_its_minutes_are_written() -> None:
    bath, other = tub("B1", "H01", "H02"), tub("B2", "H03")
    log(other, "Bath", "repeat", 1)
    log(bath, "Bath", "repeat", 1)
    assert [task.timed for task in dues.tasks(day(2), 0)] == [False, False]
    sessions.start(tags=["H01"], kind="bath", batch=bath, request_key="one")
    assert {task.batch.number: task.timed for task in dues.tasks(day(2), 0)} == {"B1": True, "B2": False}
    stopped = sessions.stop(key="one", minutes=D(20))
    assert {task.batch.number: task.timed for task in dues.tasks(day(2), 0)} == {"B1": True, "B2": False}
    again = log(bath, "Bath", "repeat", 2)
    assert not one_of("B1", 3).timed
    marks.reverse(mark=again)
    assert one_of("B1", 3).timed
    assert stopped.labour is not None
    labour.reverse(line=stopped.labour)
    assert not one_of("B1", 3).timed


def test_other_work_that_was_timed_says_nothing_of_a_step() -> None:
    bath = tub("B1", "H01")
    sessions.start(tags=["H01"], kind="other", batch=bath, request_key="one")
    assert not one_of("B1", 3).timed


def test_a_dropped_session_wrote_nothing() -> None:
    bath = tub("B1", "H01")
    sessions.start(tags=["H01"], batch=bath, request_key="one")
    sessions.drop(key="one")
    assert not one_of("B1", 3).timed


def one_of(number: str, nth: int) -> Task:
    return next(task for task in dues.tasks(day(nth), 0) if task.batch.number == number)


def test_minutes_of_a_step_count_each_skin_there() -> None:
    bath = tub("B1", "H01", "H02", "H03")
    log(bath, "Bath", "repeat", 10)
    assert one(11).due.minutes == 36


def test_a_past_day_shows_what_stood_then() -> None:
    bath = tub("B1", "H01")
    for nth in (1, 2, 3):
        log(bath, "Bath", "repeat", nth)
    assert [asked(nth) for nth in (3, 4)] == [[], [("B1", "Turn", "due")]]
    log(bath, "Bath", "done", 5)
    assert asked(4) == [("B1", "Turn", "due")]


def test_a_batch_whose_skins_have_left_asks_for_nothing_but_did_before() -> None:
    bath = tub("B1", "H01")
    log(bath, "Bath", "repeat", 1)
    losses.lose(skin=bath.stays.get().skin, on=day(3), reason="slipped")
    assert [asked(nth) for nth in (2, 3, 4)] == [[("B1", "Turn", "due")], [], []]


def test_a_plan_is_announced_before_its_skins_join() -> None:
    tub("B1", "H01", steps=(FLESH, BATH))
    tub("B2", planned_skins=3, steps=(FLESH, BATH))
    assert asked(-3, ahead_days=3) == [("B1", "Flesh and salt", "coming"), ("B2", "Flesh and salt", "coming")]
    assert asked(-4, ahead_days=3) == []


def test_a_plan_whose_day_has_passed_is_late_to_begin_and_with_nobody_in_it_harms_nothing() -> None:
    tub("B1", "H01", steps=(FLESH, BATH))
    tub("B2", planned_skins=3, steps=(FLESH, BATH))
    tub("B3", planned_skins=3)
    found = {task.batch.number: task for task in dues.tasks(day(4))}
    assert {number: (task.due.to_begin, task.due.late_days, task.due.harms) for number, task in found.items()} == {
        "B1": (True, 4, True),
        "B2": (True, 4, False),
        "B3": (True, 4, False),
    }
    assert found["B3"].due.words == "Bath"
    assert next(task.batch.number for task in dues.tasks(day(4))) == "B1"


def test_what_is_coming_may_be_logged_once_its_step_has_begun() -> None:
    tub("B1", planned_skins=3, steps=(FLESH, BATH))
    tub("B2", "H01")
    assert {(task.batch.number, task.due.words, task.open) for task in dues.tasks(day(-1))} == {
        ("B1", "Flesh and salt", False),
        ("B2", "Turn", False),
    }
    assert {(task.batch.number, task.due.state, task.open) for task in dues.tasks(day(0))} == {
        ("B1", "due", True),
        ("B2", "coming", True),
    }


def test_a_bath_in_work_without_named_skins_is_turned_all_the_same() -> None:
    log(tub("B1", planned_skins=3), "Bath", "repeat", 1)
    assert asked(2) == [("B1", "Turn", "due")]


def test_a_recipe_without_steps_asks_for_its_additions_alone() -> None:
    tub("B1", "H01", steps=())
    assert [task.kind for task in dues.tasks(day(1), 30)] == ["addition"]


def test_the_place_is_the_tub_the_frames_or_where_the_last_step_left_the_skins() -> None:
    made = tub("B1", "H01", place=make.place("Taw tub", "tub"), frames=make.place("Racks", "frame"))
    for name, nth, place in (("Bath", 11, "Taw tub"), ("Frame", 19, "Racks"), ("Trim", 19, "Racks")):
        task = next(task for task in dues.tasks(day(nth), 0) if not task.due.is_repeat)
        assert (task.step.name, task.place) == (name, place)
        log(made, name, "done", nth)


def test_a_step_before_any_tub_is_where_the_batch_stands_and_a_batch_may_stand_nowhere() -> None:
    tub("B1", "H01", steps=(FLESH, BATH), place=make.place("Taw tub", "tub"))
    tub("B2", "H02", steps=(FLESH, BATH))
    assert {task.batch.number: task.place for task in dues.tasks(START, 0)} == {"B1": "Taw tub", "B2": NOWHERE}


def test_the_recipes_own_words_stand_before_the_usual_cautions() -> None:
    tub("B1", "H01")
    words = one(1).cautions
    assert words[0] == "Open every fold."
    assert words[1].startswith("Closed eye protection")
    assert any("Slide, drain or bail first" in each for each in words)
    assert len(words) == len(set(words))


def test_at_risk_are_the_book_cost_of_those_still_in_it_and_own_hours_at_the_wage() -> None:
    rates.set_rates(wage_per_hour=D(16))
    bath = tub("B1", "H01", "H02")
    alum = make.material("ALUM", on_hand=2, value=20, on=START)
    make.put(bath, alum, 1, START)
    log(bath, "Bath", "repeat", 1, minutes=60)
    make.work(day(1), 30, batch=bath, who="Aino", paid=D(9))
    make.work(day(2), 600, batch=bath)
    # 2 skins of 12, 10 of alum, 9 paid: 43; one own hour at 16. The work of the 22nd is not done yet.
    assert dues.risk_of(bath, day(1)) == D("59.00")
    losses.lose(skin=bath.stays.get(skin__tag="H01").skin, on=day(1), reason="slipped")
    bath.refresh_from_db()
    assert dues.risk_of(bath, day(1)) == D("29.50")


def test_the_risk_has_its_parts_which_add_up_to_it() -> None:
    rates.set_rates(wage_per_hour=D(16))
    bath = tub("B1", "H01", "H02")
    log(bath, "Bath", "repeat", 1, minutes=50)
    [group] = dues.groups(day(2))
    assert (group.stake.paid, group.stake.mine, group.stake.minutes) == (D("24.00"), D("13.33"), 50)
    assert group.stake.whole == group.tasks[0].stake.whole == D("37.33") == dues.risk_of(bath, day(2))


def test_what_is_at_risk_is_rounded_once_and_half_up() -> None:
    def risked(book: Fraction | int, minutes: Fraction | int, wage: str) -> Decimal:
        share = Share(skin_price=Fraction(book), minutes=Fraction(minutes), own_minutes=Fraction(minutes))
        return dues.stake_of([share], Rates(D(wage), D(0), D(0)), 2).whole

    assert risked(Fraction(1, 3), Fraction(1, 4), "0.40") == D("0.34")
    assert risked(0, Fraction(3, 160), "16") == D("0.01")
    assert risked(36, 0, "16") == D("36.00")


def test_the_risk_on_a_task_is_that_of_its_batch_and_no_wage_leaves_the_book() -> None:
    bath = tub("B1", "H01")
    log(bath, "Bath", "repeat", 1, minutes=60)
    assert one(2).stake.whole == dues.risk_of(bath, day(2)) == D("12.00")


def test_a_place_counts_the_risk_of_each_batch_once_and_minutes_of_what_is_due() -> None:
    place = make.place("Taw tub", "tub")
    tub("B1", "H01", place=place)
    tub("B2", "H02", place=place)
    (group,) = dues.groups(day(12))
    assert [(task.batch.number, task.due.words) for task in group.tasks] == [
        ("B1", "Turn"),
        ("B2", "Turn"),
        ("B1", "Take out"),
        ("B2", "Take out"),
    ]
    assert (group.place, group.stake.whole, group.minutes) == ("Taw tub", D("24.00"), 2 * (6 + 32))
    (soon,) = dues.groups(day(0), ahead_days=1)
    assert ([task.due.state for task in soon.tasks], soon.minutes) == (["coming", "coming"], 0)


def test_the_place_with_the_most_urgent_task_stands_first() -> None:
    dry = Step("Dry", lasts_days=2, grace_days=10)
    tub("B1", "H01", steps=(dry,), place=make.place("A rack", "frame"))
    tub("B2", "H02", place=make.place("Z tub", "tub"))
    assert [group.place for group in dues.groups(day(2), 0)] == ["Z tub", "A rack"]


@pytest.mark.thorough
def test_queries_are_as_many_for_thirty_batches_as_for_one() -> None:
    def taken(look: Callable[[date], Sequence[object]]) -> int:
        workshop.forget()
        with CaptureQueriesContext(connection) as seen:
            assert look(day(1))
        return len(seen)

    def rows(*numbers: int) -> None:
        # Straight into the tables: thirty of each through the services would take a second.
        made = [Batch(number=f"B{nth}", version=version, start=START, place=place, state="in_work") for nth in numbers]
        skins = [Skin(tag=f"H{nth}", species="Sheep", date_in=START, stage="in_work") for nth in numbers]
        for model, new in ((Batch, made), (Skin, skins)):
            model.objects.bulk_create(new)
        pairs = zip(made, skins, strict=True)
        BatchSkin.objects.bulk_create(BatchSkin(batch=bath, skin=skin, joined_on=START) for bath, skin in pairs)
        LabourLine.objects.bulk_create(LabourLine(on=START, batch=bath, task="mix", minutes=D(5)) for bath in made)
        StepMark.objects.bulk_create(StepMark(batch=bath, step=step, on=START, kind="repeat") for bath in made)

    place, version = make.place("Taw tub", "tub"), make.recipe("R1", steps=[BATH])
    step = version.steps.get()
    rows(1)
    first = [taken(look) for look in (dues.tasks, dues.groups)]
    rows(*range(2, 31))
    assert len(dues.tasks(day(1))) == 30
    assert [taken(look) for look in (dues.tasks, dues.groups)] == first


def test_a_skin_taken_out_alive_is_no_longer_at_risk_there() -> None:
    bath = tub("B1", "H01", "H02")
    log(bath, "Bath", "repeat", 1)
    batches.leave(batch=bath, skin=bath.stays.get(skin__tag="H02").skin, on=day(2))
    assert [(one(nth).skins, one(nth).stake.whole) for nth in (2, 3)] == [(("H01",), D("12.00"))] * 2


def test_a_customers_hide_puts_the_agreed_price_of_its_job_at_stake() -> None:
    """Not the 1.15 of alum that went on it: nobody pays for a spoiled one."""
    make.job("J-01", price=140, on=START, finished=False)
    make.skin("H01", date_in=START, price=12)
    both = make.batch("B1", version=make.recipe("R-1", steps=[BATH]), start=START, tags=["H-J-01", "H01"])
    make.put(both, make.material(on_hand=1, value="2.30", on=START), 1, on=START)
    (task, *_) = dues.tasks(day(0), 12)
    assert (task.stake.paid, task.stake.agreed, task.stake.whole) == (D("13.15"), 140, D("153.15"))
    assert dues.risk_of(both, day(0)) == D("153.15")


def test_a_job_that_was_cancelled_puts_no_price_at_stake() -> None:
    job = make.job("J-01", price=140, on=START, finished=False)
    job.given_up_on, job.given_up_why = START, "changed her mind"
    job.save()
    assert dues.agreed([job.skin]) == {}
