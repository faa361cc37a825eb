"""What a batch still asks of the hands: the planned days, what is late, and what follows from it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.batches.logs.selectors import logs
from costing.make.losses import services as losses
from costing.make.recipes.services import Step
from costing.make.steps import schedule, selectors as steps
from costing.make.steps.agenda import selectors as dues
from costing.make.steps.marks import services as marks
from costing.make.steps.plans import selectors as ahead
from costing.make.steps.plans.selectors import Ahead
from costing.models import Batch
from inventory.models import Place
from tests import factories as make
from tests.factories import days_from

pytestmark = pytest.mark.django_db
START = date(2025, 1, 20)

BATH = Step(
    "Bath",
    task="Take out",
    lasts_days=4,
    every_days=1,
    repeat="Turn",
    repeat_minutes=6,
    minutes_per_skin=12,
    uses="tub",
    caution="Open every fold.",
)

OIL = Step("Oil", wait_days=1, minutes=45)
FRAME = Step("Frame", task="Unlace", lasts_days=8, uses="frame")
day = days_from(START)


def tub(number: str = "B1", tags: tuple[str, ...] = ("H01", "H02"), **options: Any) -> Batch:
    for tag in tags:
        make.skin(tag, date_in=START)
    version = make.recipe(f"R{number}", steps=[BATH, OIL, FRAME])
    places = {"place": make.place("Taw tub", Place.Kind.TUB), "frames": make.place("Frames", Place.Kind.FRAME)}
    return make.batch(number, version=version, start=START, tags=tags, **{**places, **options})


def log(batch: Batch, name: str, kind: str, nth: int) -> None:
    marks.log(batch=batch, step=batch.version.steps.get(name=name), kind=kind, on=day(nth))


def told(rows: list[Ahead]) -> list[tuple[int, str]]:
    return [((row.on - START).days, row.words) for row in rows]


def of(batch: Batch, nth: int) -> list[Ahead]:
    row = next(found for found in dues.live(day(nth)) if found.pk == batch.pk)
    return ahead.of_batch(row, logs([row], day(nth))[row.pk], day(nth))


def test_a_batch_just_begun_asks_for_each_repeat_and_each_step_on_its_day() -> None:
    assert told(of(tub(), 0)) == [(1, "Turn"), (2, "Turn"), (3, "Turn"), (4, "Take out"), (5, "Oil"), (13, "Unlace")]


def test_the_repeats_ahead_of_an_untouched_step_are_those_that_the_rule_plans() -> None:
    batch = tub()
    planned = schedule.repeat_dates(steps.laid(batch, START)[0])
    assert tuple(row.on for row in of(batch, 0) if row.kind == "repeat") == planned


def test_a_missed_turn_stands_on_today_with_the_day_it_was_due_and_the_next_is_counted_from_today() -> None:
    batch = tub()
    log(batch, "Bath", "repeat", 1)
    rows = of(batch, 3)
    assert told(rows) == [(3, "Turn"), (4, "Take out"), (5, "Oil"), (13, "Unlace")]
    assert (rows[0].since, rows[0].late_days) == (day(2), 1)
    assert [row.late_days for row in rows[1:]] == [0, 0, 0]


def test_a_step_that_is_late_pushes_what_follows_and_is_turned_today_all_the_same() -> None:
    batch = tub()
    log(batch, "Bath", "repeat", 3)
    assert [(*row, late.late_days) for row, late in zip(told(of(batch, 6)), of(batch, 6), strict=True)] == [
        (6, "Turn", 1),
        (6, "Take out", 2),
        (7, "Oil", 0),
        (15, "Unlace", 0),
    ]


def test_a_turn_due_on_the_very_day_of_a_late_step_is_asked_for() -> None:
    batch = tub()
    log(batch, "Bath", "repeat", 4)
    assert told(of(batch, 5))[:2] == [(5, "Turn"), (5, "Take out")]


def test_what_is_logged_is_ahead_no_more() -> None:
    batch = tub()
    log(batch, "Bath", "done", 4)
    log(batch, "Oil", "skipped", 4)
    assert told(of(batch, 4)) == [(12, "Unlace")]


def test_a_row_names_its_place_minutes_and_cautions() -> None:
    turn, *_, out, _oil, unlace = of(tub(), 0)
    assert (turn.place, turn.minutes, out.minutes) == ("Taw tub", 6, 24)
    assert unlace.place == "Frames"
    assert turn.cautions[0] == "Open every fold."
    assert any("gloves" in words for words in turn.cautions[1:])
    assert len(set(out.cautions)) == len(out.cautions)


def test_coming_holds_live_and_planned_batches_in_the_order_of_the_days_and_no_further_than_asked() -> None:
    tub("B1")
    later = tub("B2", ("H03",))
    log(later, "Bath", "repeat", 1)
    rows = ahead.coming(day(1), 3)
    assert {row.batch.number for row in rows} == {"B1", "B2"}
    assert [row.on for row in rows] == sorted(row.on for row in rows)
    assert max(row.on for row in rows) <= day(4)


def test_a_batch_whose_skins_are_all_gone_asks_for_nothing() -> None:
    batch = tub(tags=("H01",))
    log(batch, "Bath", "repeat", 1)
    losses.lose(skin=batch.stays.get().skin, on=day(2), reason="slipped")
    assert ahead.coming(day(3), 60) == []


def test_a_recipe_without_steps_asks_for_its_additions_alone() -> None:
    make.skin("H01", date_in=START)
    make.batch("B1", start=START, tags=["H01"])
    assert [row.kind for row in ahead.coming(START, 60)] == ["addition"]


@pytest.mark.thorough
def test_thirty_batches_take_as_many_queries_as_one() -> None:
    tub("B0", ("H00",))
    with CaptureQueriesContext(connection) as one:
        ahead.coming(day(1), 60)
    version = Batch.objects.get().version
    for nth in range(1, 30):
        make.skin(f"H{nth:02d}", date_in=START)
        make.batch(f"B{nth}", version=version, start=START, tags=[f"H{nth:02d}"])
    with CaptureQueriesContext(connection) as many:
        rows = ahead.coming(day(1), 60)
    assert len({row.batch.number for row in rows}) == 30
    assert len(many) == len(one)
