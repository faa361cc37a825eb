"""Looking ahead: clashes of tubs and frames, and planning back from a day."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.make.steps.plans import selectors as plans
from costing.make.steps.plans.rules import Clash
from costing.models import Batch
from inventory.models import Place
from tests import factories as make
from tests.factories import days_from

pytestmark = pytest.mark.django_db
START = date(2025, 1, 20)
BATH = Step("Bath", lasts_days=11, grace_days=3, every_days=1, repeat="Turn", minutes=30, repeat_minutes=6, uses="tub")
OIL = Step("Oil", wait_days=1, minutes_per_skin=15)
FRAME = Step("Frame", lasts_days=8, minutes=60, uses="frame")
day = days_from(START)


def plan(number: str, nth: int = 0, *steps: Step, **options: Any) -> Batch:
    version = make.recipe(f"R-{number}", steps=steps or (BATH, OIL, FRAME))
    return make.batch(number, version=version, start=day(nth), **options)


def holding(place: Place, holds: int) -> Place:
    place.holds = holds
    place.save()
    return place


def test_two_batches_in_one_tub_clash_on_the_days_they_share() -> None:
    place = make.place("Taw tub", "tub")
    plan("B1", place=place)
    plan("B2", 7, place=place)
    assert plans.clashes(START) == [Clash("Taw tub", day(7), day(11), ("B1", "B2"), 1)]


def test_a_step_that_was_skipped_holds_nothing() -> None:
    place = make.place("Taw tub", "tub")
    skips, _ = plan("B1", place=place), plan("B2", 7, place=place)
    marks.log(batch=skips, step=skips.version.steps.get(name="Bath"), kind="skipped", on=START)
    assert plans.clashes(START) == []


def test_a_tub_that_holds_two_is_no_clash_for_two() -> None:
    place = holding(make.place("Taw tub", "tub"), 2)
    for nth in (1, 2):
        plan(f"B{nth}", place=place)
    assert plans.clashes(START) == []
    plan("B3", place=place)
    assert [clash.batches for clash in plans.clashes(START)] == [("B1", "B2", "B3")]


def test_frames_are_counted_by_skins() -> None:
    racks = holding(make.place("Racks", "frame"), 6)
    plan("B1", frames=racks, planned_skins=4)
    plan("B2", 5, frames=racks, planned_skins=2)
    assert plans.clashes(START) == []
    plan("B3", 5, frames=racks, planned_skins=1)
    assert plans.clashes(START) == [Clash("Racks", day(17), day(20), ("B1", "B2", "B3"), 6)]


def test_a_late_bath_clashes_with_the_plan_that_follows_it() -> None:
    place = make.place("Taw tub", "tub")
    late, then = plan("B1", place=place), plan("B2", 11, place=place)
    marks.log(batch=late, step=late.version.steps.get(name="Bath"), kind="repeat", on=day(1))
    assert plans.clashes(day(5)) == []
    marks.log(batch=then, step=then.version.steps.get(name="Bath"), kind="repeat", on=day(12))
    assert plans.clashes(day(13)) == [Clash("Taw tub", day(11), day(14), ("B1", "B2"), 1)]


def test_a_plan_that_has_not_begun_holds_its_tub_from_the_day_it_can_begin() -> None:
    place = make.place("Taw tub", "tub")
    plan("B1", place=place)
    plan("B2", 11, place=place)
    assert plans.clashes(START) == []
    assert plans.clashes(day(5)) == [Clash("Taw tub", day(11), day(16), ("B1", "B2"), 1)]


def test_what_was_taken_out_early_frees_its_tub() -> None:
    place = make.place("Taw tub", "tub")
    first = plan("B1", place=place)
    plan("B2", 9, place=place)
    assert plans.clashes(START)
    marks.log(batch=first, step=first.version.steps.get(name="Bath"), kind="done", on=day(9))
    assert plans.clashes(day(9)) == []


def test_a_clash_that_is_over_is_not_told() -> None:
    place = make.place("Taw tub", "tub")
    for batch in (plan("B1", place=place), plan("B2", 7, place=place)):
        marks.log(batch=batch, step=batch.version.steps.get(name="Bath"), kind="done", on=day(11))
    assert plans.clashes(day(10))
    assert plans.clashes(day(11)) == []


def test_a_batch_without_a_place_clashes_with_nothing() -> None:
    for nth in (1, 2):
        plan(f"B{nth}")
    assert plans.clashes(START) == []


@pytest.mark.thorough
def test_clashes_take_as_many_queries_for_thirty_batches_as_for_one() -> None:
    def taken() -> int:
        with CaptureQueriesContext(connection) as seen:
            plans.clashes(START)
        return len(seen)

    place = make.place("Taw tub", "tub")
    version = plan("B1", place=place).version
    first = taken()
    for nth in range(2, 31):
        make.batch(f"B{nth}", version=version, start=day(nth), place=place)
    assert taken() == first


def test_a_plan_back_from_a_day_ends_on_it_and_tells_when_to_begin() -> None:
    found = plans.back_plan(make.recipe("R1", steps=[BATH, OIL, FRAME]), day(20), heads=3)
    assert (found.start, found.waiting_days, found.rows[-1].due) == (START, 20, day(20))
    assert [(laid.step.key, laid.begins, laid.due) for laid in found.rows] == [
        ("Bath", day(0), day(11)),
        ("Oil", day(12), day(12)),
        ("Frame", day(12), day(20)),
    ]


def test_hands_are_counted_by_the_week_in_which_they_fall() -> None:
    found = plans.back_plan(make.recipe("R1", steps=[BATH, OIL, FRAME]), day(20), heads=3)
    # Six turns after Monday 20 January, four more and the taking out (day 11) in the next week with the oil (day 12).
    assert found.weeks == ((day(0), 6 * 6), (day(7), 4 * 6 + 30 + 45), (day(14), 60))
    assert found.hands_minutes == sum(minutes for _, minutes in found.weeks)


def test_a_recipe_without_steps_begins_on_the_day_it_ends() -> None:
    found = plans.back_plan(make.recipe("R1"), START)
    assert (found.start, found.rows, found.weeks, found.waiting_days) == (START, (), (), 0)
