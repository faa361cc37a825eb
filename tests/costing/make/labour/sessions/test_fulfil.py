"""A timed softening session answers the softening that is due, and swallows the minutes of nothing else."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from costing.make.labour.sessions import services as sessions
from costing.make.recipes.services import Step
from costing.make.steps import selectors as steps
from costing.make.steps.agenda import selectors as agenda
from costing.make.steps.marks import services as marks
from costing.models import Batch, LabourLine, StepMark, WorkSession
from inventory.base import selectors as workshop
from tests import factories as make
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 20)
FRAME = Step("Frame", "Take off the frame", lasts_days=3, minutes=40, kind="other", uses="frame")
SOFTEN = Step("Soften", "Unlace", kind="soften", lasts_days=5, every_days=1, repeat="Feel each", repeat_minutes=75)
STRETCH = Step("Stretch", "Soften over the beam", kind="soften", minutes=60)


@pytest.fixture(autouse=True)
def _now(monkeypatch: pytest.MonkeyPatch) -> None:
    noon = datetime(TODAY.year, TODAY.month, TODAY.day, 12, tzinfo=ZoneInfo("UTC"))
    monkeypatch.setattr(timezone, "now", lambda: noon)


def batch(*plan: Step, began: int = 1, tags: tuple[str, ...] = ("H01", "H02")) -> Batch:
    start = TODAY - timedelta(days=began)
    for tag in tags:
        make.skin(tag, date_in=start)
    return make.batch("B1", version=make.recipe("R1", steps=list(plan)), start=start, tags=list(tags))


def soften(*tags: str, kind: str = "soften", key: str = "k") -> WorkSession:
    at = timezone.now() - timedelta(minutes=50)
    sessions.start(tags=tags or ["H01"], kind=kind, at=at, request_key=key, by=make.owner())
    return sessions.stop(key=key, at=at + timedelta(minutes=45), by=make.owner())


def logged() -> list[tuple[str, str, str]]:
    rows = StepMark.objects.filter(reversed_at__isnull=True).select_related("step", "labour")
    return [(row.step.name, row.kind, f"{row.labour.minutes.normalize():f}" if row.labour else "") for row in rows]


def due() -> list[str]:
    return [task.due.words for task in agenda.tasks(workshop.today(), 0)]


def test_the_repeat_that_is_due_is_done_with_the_sessions_own_minutes() -> None:
    batch(SOFTEN)
    assert due() == ["Feel each"]
    soften()
    assert logged() == [("Soften", "repeat", "45")]
    assert due() == []
    assert LabourLine.objects.count() == 1


def test_a_second_session_of_the_day_adds_minutes_and_no_entry() -> None:
    batch(SOFTEN)
    soften()
    soften(key="again")
    assert len(logged()) == 1
    assert LabourLine.objects.count() == 2


def test_a_softening_step_is_done_when_all_were_under_the_hands() -> None:
    batch(STRETCH, began=0)
    soften("H01")
    assert logged() == []
    soften("H01", "H02", key="both")
    assert logged() == [("Stretch", "done", "45")]


def test_a_session_of_another_kind_answers_nothing() -> None:
    batch(SOFTEN)
    soften(kind="finish")
    assert logged() == []
    assert due() == ["Feel each"]


def test_softening_before_its_day_answers_nothing() -> None:
    batch(SOFTEN, began=0)
    soften()
    assert logged() == []


def test_a_session_does_not_swallow_the_minutes_of_another_task() -> None:
    made = batch(FRAME, SOFTEN, began=3)
    soften()
    (task,) = agenda.tasks(TODAY, 0)
    assert (task.due.words, task.timed, task.due.minutes) == ("Take off the frame", False, 40)
    assert steps.planned_minutes(made, made.version.steps.get(name="Frame"), "done", TODAY) == 40


def test_undoing_the_stop_undoes_what_it_answered() -> None:
    batch(SOFTEN)
    session = soften()
    sessions.undo_stop(session=session, by=make.owner())
    assert logged() == []
    assert due() == ["Feel each"]
    assert not LabourLine.objects.filter(reverses__isnull=True, reversed_by__isnull=True).exists()


def test_what_was_done_with_the_session_is_said_and_reversed_with_its_minutes() -> None:
    batch(SOFTEN)
    client = signed_in()
    page = text(client.get("/"))
    assert f'href="{reverse("sessions")}?batch=B1"' in page
    at = timezone.now() - timedelta(minutes=50)
    sessions.start(tags=["H01"], at=at, request_key="k", by=make.owner())
    client.post(reverse("session_stop"), {"key": "k", "request_key": "s"})
    assert "50 min soften on H01 are logged. Feel each: done." in text(client.get("/"))
    marks.reverse(mark=StepMark.objects.get())
    assert due() == ["Feel each"]


def test_who_sees_no_due_softening_is_offered_no_timer_there() -> None:
    batch(FRAME, began=3)
    client: Client = signed_in()
    assert "?batch=B1" not in text(client.get("/")).split('class="tools"')[0].replace("labour/new/?batch=B1", "")
