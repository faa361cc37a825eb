"""A batch's steps and marks as the schedule wants them."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from costing.make.batches.stays import services as batches
from costing.make.recipes.services import Step
from costing.make.steps import selectors as read
from costing.make.steps.marks import services as marks
from costing.make.steps.schedule import Mark
from costing.models import Batch, StepMark
from tests import factories as make
from tests.factories import days_from

pytestmark = pytest.mark.django_db
START = date(2025, 1, 20)

BATH = Step(
    "Bath",
    task="Take out",
    lasts_days=11,
    grace_days=3,
    every_days=1,
    repeat="Turn",
    minutes=30,
    minutes_per_skin=2,
    repeat_minutes=6,
    uses="tub",
    caution="Salt stings.",
)

OIL = Step("Oil", wait_days=1, minutes_per_skin=15)
day = days_from(START)


def tub(*tags: str, **options: Any) -> Batch:
    for tag in tags:
        make.skin(tag, date_in=START)
    return make.batch("B1", version=make.recipe("R1", steps=[BATH, OIL]), start=START, tags=tags, **options)


def log(batch: Batch, name: str, kind: str, nth: int) -> StepMark:
    return marks.log(batch=batch, step=batch.version.steps.get(name=name), kind=kind, on=day(nth))


def test_a_step_of_the_recipe_is_a_step_of_the_schedule_for_so_many_skins() -> None:
    bath, oil = read.as_steps(tub().version.steps.all(), 3)
    assert (bath.key, bath.name, bath.lasts_days, bath.grace_days, bath.wait_days) == ("Bath", "Take out", 11, 3, 0)
    assert (bath.every_days, bath.repeat_name, bath.uses) == (1, "Turn", "tub")
    assert (bath.hands_minutes, bath.repeat_minutes) == (36, 6)
    assert (oil.key, oil.name, oil.wait_days, oil.hands_minutes, oil.uses) == ("Oil", "Oil", 1, 45, "")


def test_marks_stand_in_the_order_they_happened_without_those_taken_back() -> None:
    bath = tub()
    log(bath, "Bath", "repeat", 5)
    log(bath, "Bath", "repeat", 3)
    marks.reverse(mark=log(bath, "Bath", "repeat", 4))
    log(bath, "Bath", "done", 11)
    third, fifth, out = (Mark("Bath", day(3), "repeat"), Mark("Bath", day(5), "repeat"), Mark("Bath", day(11), "done"))
    assert read.standing_marks(bath) == [third, fifth, out]
    assert read.standing_marks(bath, until=day(5)) == [third, fifth]


def test_a_batch_is_laid_out_by_what_was_logged() -> None:
    bath = tub("H01")
    log(bath, "Bath", "done", 13)
    done, oil = read.laid(bath, day(13))
    assert (done.ended, oil.due, oil.step.hands_minutes) == (day(13), day(14), 15)


def test_a_late_step_pushes_what_follows_to_today() -> None:
    assert read.laid(tub("H01"), day(12))[1].due == day(13)


def test_a_step_stands_as_coming_until_its_day() -> None:
    bath = tub("H01")
    assert [row.stands for row in read.calendar(bath, day(-20))] == ["coming", "ahead"]
    assert [row.stands for row in read.calendar(bath, day(0))] == ["open", "ahead"]
    log(bath, "Bath", "done", 11)
    assert [[row.stands for row in read.calendar(bath, day(nth))] for nth in (11, 12, 13)] == [
        ["done", "coming"],
        ["done", "open"],
        ["done", "past"],
    ]


def test_a_plan_whose_day_has_passed_is_late_to_begin_and_counted_from_today() -> None:
    bath = tub(planned_skins=3)
    assert read.calendar(bath, day(0))[0].stands == "open"
    late = read.calendar(bath, day(4))
    assert [row.stands for row in late] == ["late to begin", "ahead"]
    assert [row.laid.due for row in late] == [day(15), day(16)]
    log(bath, "Bath", "repeat", 4)
    assert [row.stands for row in read.calendar(bath, day(4))] == ["open", "ahead"]


def test_a_plan_that_names_its_skins_begins_on_its_day_where_they_lie_in_its_first_step() -> None:
    assert [row.stands for row in read.calendar(tub("H01"), day(4))] == ["open", "ahead"]


@pytest.mark.parametrize(("planned", "named", "heads"), [(4, 0, 4), (4, 2, 4), (0, 2, 2), (1, 2, 2)])
def test_a_plan_counts_the_skins_named_or_those_still_to_come(planned: int, named: int, heads: int) -> None:
    bath = tub(*("H01", "H02")[:named], planned_skins=planned)
    assert read.heads_of(bath, START) == heads


def test_a_batch_in_work_counts_who_is_in_it_that_day() -> None:
    bath = tub("H01", "H02", planned_skins=4)
    log(bath, "Bath", "repeat", 1)
    batches.leave(batch=bath, skin=bath.stays.get(skin__tag="H01").skin, on=day(3))
    bath.refresh_from_db()
    assert [read.heads_of(bath, day(nth)) for nth in (2, 3)] == [2, 1]


def test_a_bath_in_work_whose_skins_were_never_named_counts_those_planned() -> None:
    bath = tub(planned_skins=4)
    log(bath, "Bath", "repeat", 1)
    bath.refresh_from_db()
    assert (bath.state, read.heads_of(bath, day(2))) == ("in_work", 4)
