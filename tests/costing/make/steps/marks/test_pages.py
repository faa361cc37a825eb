"""Pages of a batch's steps: the calendar, logging with details or by one tap, undoing, taking back."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from costing.make.labour.sessions import services as sessions
from costing.make.losses import services as losses
from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.models import Batch, LabourLine, StepMark
from inventory.base.accounting import services as workshop
from tests import factories as make
from tests.factories import days_from
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
START = date(2025, 1, 20)

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

OIL = Step("Oil", wait_days=1)


@pytest.fixture
def client() -> Client:
    workshop.pin_today(on=day(3))
    return signed_in()


day = days_from(START)


def tub(*steps: Step) -> Batch:
    for tag in ("H01", "H02"):
        make.skin(tag, date_in=START)
    version = make.recipe("R1", steps=steps or (BATH, OIL))
    return make.batch("B1", version=version, start=START, tags=["H01", "H02"])


def log_url(batch: Batch, name: str = "Bath") -> str:
    return reverse("step_log", args=[batch.number, batch.version.steps.get(name=name).pk])


def log(batch: Batch, name: str, kind: str, nth: int, **given: Any) -> StepMark:
    return marks.log(batch=batch, step=batch.version.steps.get(name=name), kind=kind, on=day(nth), **given)


def test_pages_open_for_who_is_signed_in(client: Client) -> None:
    bath = tub()
    mark = log(bath, "Bath", "repeat", 1, by=make.owner())
    addresses = [
        reverse("steps", args=["B1"]),
        log_url(bath),
        reverse("mark_undo", args=[mark.pk]),
        reverse("mark_reverse", args=[mark.pk]),
    ]
    for address in addresses:
        assert client.get(address).status_code == 200
    assert client.get(reverse("steps", args=["B9"])).status_code == 404
    assert client.get(reverse("step_log", args=["B1", 0])).status_code == 404
    assert client.get(reverse("mark_undo", args=[0])).status_code == 404


def test_a_step_of_another_recipe_has_no_page_in_this_batch(client: Client) -> None:
    bath = tub()
    other = make.recipe("R2", steps=[BATH]).steps.get()
    assert client.get(reverse("step_log", args=[bath.number, other.pk])).status_code == 404


def test_the_calendar_says_when_each_step_begins_is_due_and_is_safe_until(client: Client) -> None:
    tub()
    page = text(client.get(reverse("steps", args=["B1"])))
    assert "Mon 20 Jan 2025" in page
    assert "Fri 31 Jan 2025, safe until Mon 3 Feb" in page
    assert "Before that</dt><dd>Turn, Tue 21 Jan 2025, late" in page
    assert page.count("Sat 1 Feb 2025") == 2  # the oil begins and is due on one day
    assert "Open every fold." in page


def test_a_turn_of_a_step_that_should_have_ended_is_due_meanwhile_and_not_before(client: Client) -> None:
    bath = tub()
    log(bath, "Bath", "repeat", 12)
    workshop.pin_today(on=day(12))
    page = text(client.get(reverse("steps", args=["B1"])))
    assert "Meanwhile</dt><dd>Turn, Sun 2 Feb 2025" in page
    assert "Before that" not in page


def test_the_calendar_shows_who_logged_what_and_what_was_taken_back(client: Client) -> None:
    bath = tub()
    log(bath, "Bath", "repeat", 1, minutes=D(6), note="all folds open", by=make.owner())
    marks.reverse(mark=log(bath, "Bath", "repeat", 2, by=make.owner()), by=make.owner())
    page = text(client.get(reverse("steps", args=["B1"])))
    assert "<b>Turn</b>, Tue 21 Jan 2025, 6 min: all folds open" in page
    assert "<s><b>Turn</b>, Wed 22 Jan 2025</s>" in page
    assert "reversed by owner" in page
    assert page.count("Reverse<") == 1


def test_only_the_step_that_is_next_may_be_logged(client: Client) -> None:
    bath = tub()
    page = client.get(reverse("steps", args=["B1"])).content.decode()
    assert f"{log_url(bath)}?kind=repeat" in page
    assert f"{log_url(bath)}?kind=done" in page
    assert f"{log_url(bath)}?kind=skipped" in page
    assert log_url(bath, "Oil") not in page
    log(bath, "Bath", "skipped", 2)
    page = client.get(reverse("steps", args=["B1"])).content.decode()
    assert log_url(bath) not in page
    assert f"{log_url(bath, 'Oil')}?kind=done" in page
    assert f"{log_url(bath, 'Oil')}?kind=repeat" not in page


def test_a_step_whose_day_is_to_come_says_its_day_and_offers_no_button_that_is_refused(client: Client) -> None:
    bath = tub(Step("Flesh"), BATH)
    workshop.pin_today(on=day(-12))
    page = text(client.get(reverse("steps", args=["B1"])))
    assert "Coming" in page
    assert "Next</span>" not in page
    assert "It begins on Mon 20 January, so it cannot be logged before. To begin earlier, change the plan." in page
    assert reverse("batch_edit", args=["B1"]) in page
    assert log_url(bath, "Flesh") not in page
    workshop.pin_today(on=day(2))
    page = text(client.get(reverse("steps", args=["B1"])))
    assert "Late to begin" in page
    assert "Planned for</dt><dd>Mon 20 Jan 2025" in page
    assert "Began" not in page


def test_a_bath_late_to_begin_leads_to_putting_it_in_work(client: Client) -> None:
    make.batch("B1", version=make.recipe("R1", steps=(BATH, OIL)), start=START, planned_skins=3)
    page = text(client.get(reverse("steps", args=["B1"])))
    assert "Late to begin" in page
    assert reverse("put_in_work", args=["B1"]) in page
    assert "Before that" not in page


@pytest.mark.thorough
def test_a_done_batch_offers_no_step(client: Client) -> None:
    bath = tub()
    log(bath, "Bath", "repeat", 1)
    for stay in bath.stays.all():
        losses.lose(skin=stay.skin, on=day(2), reason="slipped")
    assert log_url(bath) not in client.get(reverse("steps", args=["B1"])).content.decode()


def test_a_bookkeeper_sees_the_calendar_without_the_taps(client: Client) -> None:
    bath = tub()
    client = signed_in(make.person("bookkeeper"))
    assert log_url(bath) not in client.get(reverse("steps", args=["B1"])).content.decode()
    sent = {"kind": "repeat", "request_key": "k"}
    assert client.post(log_url(bath), sent).status_code == 403
    assert not StepMark.objects.exists()


def test_a_recipe_without_steps_says_what_to_do_first(client: Client) -> None:
    make.batch("B2", version=make.recipe("R2"), start=START)
    page = text(client.get(reverse("steps", args=["B2"])))
    assert "No steps in this recipe" in page
    assert reverse("recipe_version_new", args=["R2"]) in page


@pytest.mark.parametrize(
    ("kind", "minutes", "words"), [("repeat", "6", "Turn, B1"), ("done", "34", "Take out, B1"), ("", "34", "Take out")]
)
def test_the_form_holds_the_day_and_the_minutes_of_the_plan(
    client: Client, kind: str, minutes: str, words: str
) -> None:
    answer = client.get(log_url(tub()), {"kind": kind} if kind else {})
    assert f'value="{minutes}"' in text(answer)
    assert 'value="2025-01-23"' in text(answer)
    assert words in text(answer)


@pytest.mark.thorough
def test_the_form_holds_no_minutes_when_a_timer_wrote_them(client: Client) -> None:
    bath = tub()
    sessions.start(tags=["H01"], kind="bath", request_key="one")
    assert 'name="minutes" value' not in text(client.get(log_url(bath)))
    sessions.drop(key="one")
    assert 'value="34"' in text(client.get(log_url(bath)))


@pytest.mark.thorough
def test_skipping_asks_for_no_minutes(client: Client) -> None:
    bath = tub()
    assert 'name="minutes"' not in text(client.get(log_url(bath), {"kind": "skipped"}))
    sent = {"kind": "skipped", "on": "2025-01-22", "minutes": "34", "note": "washed instead", "request_key": "k"}
    assert client.post(log_url(bath), sent).status_code == 302
    mark = StepMark.objects.get()
    assert (mark.kind, mark.on, mark.note, mark.labour) == ("skipped", day(2), "washed instead", None)


def test_a_step_without_a_repeat_is_logged_as_done(client: Client) -> None:
    assert 'name="kind" value="done"' in text(client.get(log_url(tub(), "Oil"), {"kind": "repeat"}))


def test_a_step_is_logged_once_with_its_details_though_sent_twice(client: Client) -> None:
    bath = tub()
    sent = {"kind": "repeat", "on": "2025-01-21", "minutes": "6,5", "note": "", "request_key": "k"}
    for _ in range(2):
        assert client.post(log_url(bath), sent)["location"] == reverse("today")
    assert (StepMark.objects.count(), LabourLine.objects.get().minutes) == (1, D("6.5"))


def test_one_tap_logs_on_the_day_of_the_tap_and_offers_an_undo(client: Client) -> None:
    workshop.pin_today(on=None)
    bath = make.batch("B7", version=make.recipe("R7", steps=[BATH]), start=timezone.localdate() - timedelta(days=5))
    tapped = timezone.now() - timedelta(days=2)
    sent = {"kind": "repeat", "at": tapped.isoformat(), "request_key": "k", "next": reverse("steps", args=["B7"])}
    page = client.post(log_url(bath), sent, follow=True)
    mark = StepMark.objects.get()
    assert mark.on == timezone.localtime(tapped).date()
    assert page.redirect_chain == [(reverse("steps", args=["B7"]), 302)]
    assert reverse("mark_undo", args=[mark.pk]) in text(page)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("away", ["https://else.where/", "//else.where/", "javascript:alert(1)", "\\\\else.where"])
def test_the_way_back_leads_nowhere_else(client: Client, away: str) -> None:
    sent = {"kind": "repeat", "on": "2025-01-21", "request_key": "k", "next": away}
    assert client.post(log_url(tub()), sent)["location"] == reverse("today")


def test_a_step_before_it_can_be_is_refused_beside_the_day(client: Client) -> None:
    answer = client.post(log_url(tub(), "Oil"), {"kind": "done", "on": "2025-01-21", "request_key": "k"})
    assert answer.status_code == 200
    assert "“Take out” comes before it" in answer.context["form"].errors["on"][0]
    assert not StepMark.objects.exists()


@pytest.mark.parametrize(
    ("given", "field"),
    [({"minutes": "x"}, "minutes"), ({"on": "soon"}, "on"), ({"at": "noon"}, "at"), ({"kind": "dreamt"}, "kind")],
)
def test_what_cannot_be_read_is_said_and_nothing_is_written(client: Client, given: dict[str, str], field: str) -> None:
    answer = client.post(log_url(tub()), {"kind": "repeat", "request_key": "k", **given})
    assert answer.status_code == 200
    assert field in answer.context["form"].errors
    assert not StepMark.objects.exists()


def test_an_entry_that_waited_for_a_signal_is_answered_in_few_words(client: Client) -> None:
    bath = tub()
    sent = {"kind": "repeat", "request_key": "k"}
    answer = client.post(log_url(bath), sent, headers={"X-Kept": "1"})
    assert answer.json()["state"] == "written"
    assert answer.json()["said"].startswith("Turn, B1: logged for 23 Jan 2025")
    refusal = client.post(log_url(bath, "Oil"), {"kind": "done", "request_key": "l"}, headers={"X-Kept": "1"})
    assert (refusal.status_code, refusal.json()["state"]) == (422, "refused")


@pytest.mark.thorough
def test_an_undo_takes_the_entry_back_and_returns(client: Client) -> None:
    mark = log(tub(), "Bath", "repeat", 1, minutes=D(6), by=make.owner())
    sent = {"request_key": "k", "next": reverse("today")}
    assert client.post(reverse("mark_undo", args=[mark.pk]), sent)["location"] == reverse("today")
    mark.refresh_from_db()
    assert mark.reversed_at
    assert sum(line.minutes for line in LabourLine.objects.all()) == 0


def test_an_undo_too_late_says_the_way_that_is_left(client: Client) -> None:
    mark = log(tub(), "Bath", "repeat", 1, by=make.owner())
    StepMark.objects.update(written_at=timezone.now() - timedelta(minutes=1))
    answer = client.post(reverse("mark_undo", args=[mark.pk]), {"request_key": "k"})
    assert "The 10 seconds for an undo are over" in text(answer)
    assert reverse("mark_reverse", args=[mark.pk]) in text(answer)


@pytest.mark.thorough
def test_an_entry_is_taken_back_on_its_own_page(client: Client) -> None:
    mark = log(tub(), "Bath", "repeat", 1, minutes=D(6))
    address = reverse("mark_reverse", args=[mark.pk])
    page = text(client.get(address))
    assert "B1: Turn on 21 Jan 2025" in page
    assert "Its 6 min are reversed too" in page
    for _ in range(2):
        assert client.post(address, {"request_key": "k"})["location"] == reverse("steps", args=["B1"])
    mark.refresh_from_db()
    assert mark.reversed_at


@pytest.mark.thorough
def test_a_step_that_others_stand_on_says_what_to_take_back_first(client: Client) -> None:
    bath = tub()
    bathed = log(bath, "Bath", "done", 11)
    log(bath, "Oil", "done", 12)
    answer = client.post(reverse("mark_reverse", args=[bathed.pk]), {"request_key": "k"})
    assert "Reverse “Oil” first" in text(answer)


@pytest.mark.thorough
def test_the_calendar_takes_as_many_queries_for_thirty_steps_as_for_one(client: Client) -> None:
    few = make.batch("B1", version=make.recipe("R1", steps=[OIL]), start=START)
    many = make.batch(
        "B2", version=make.recipe("R2", steps=[Step(f"Step {nth}", lasts_days=1) for nth in range(30)]), start=START
    )
    log(few, "Oil", "done", 1, by=make.owner())
    for nth in range(3):
        log(many, f"Step {nth}", "done", nth + 1, by=make.owner())
    first = queries(client, reverse("steps", args=["B1"]))
    assert queries(client, reverse("steps", args=["B2"])) == first


@pytest.mark.thorough
def test_the_batch_leads_to_its_steps(client: Client) -> None:
    tub()
    assert reverse("steps", args=["B1"]) in client.get(reverse("batch", args=["B1"])).content.decode()
