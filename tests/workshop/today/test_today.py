"""Today: what needs the hands comes first, in words, with one tap for each; what is said without JavaScript and to whom."""

from __future__ import annotations

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.test import Client

from costing.make.labour.sessions import services as sessions
from costing.make.recipes import services as recipes
from costing.make.recipes.services import Step
from costing.make.steps.marks import services as marks
from costing.models import Batch, StepMark
from inventory.base.accounting import services as workshop_service
from inventory.models import Place
from tests import factories
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
START = date(2025, 1, 20)
TURNED = {"every_days": 1, "repeat": "Turn", "repeat_minutes": 6}


@pytest.fixture
def client(db: None) -> Client:
    """Of a workshop without the demonstration year."""
    return signed_in()


def on(day: date) -> None:
    """The day that the workshop lives in."""
    workshop_service.pin_today(on=day)


def batch(
    number: str = "B1", *steps: Step, start: date = START, skins: tuple[str, ...] = ("H01",), **more: object
) -> Batch:
    bath = Step("Bath", task="Take out", lasts_days=11, grace_days=3, minutes=36, caution="Open every fold.", **TURNED)
    version = recipes.write(code=f"R-{number}", method="alum_tawed", lines=[], steps=steps or [bath])
    for tag in skins:
        factories.skin(tag, date_in=start)
    return factories.batch(number, version=version, start=start, tags=list(skins), **more)


def tap(page: str) -> dict[str, str]:
    """The fields that the first one-tap form sends."""
    form = re.search(r'<form method="post" action="([^"]+/log/)" data-keep.*?</form>', page)
    assert form
    return {"action": form[1], **dict(re.findall(r'name="(\w+)" value="([^"]*)"', form[0]))}


def test_what_is_late_is_named_by_place_with_day_risk_and_caution(client: Client) -> None:
    batch(place=factories.place("Tub 1", Place.Kind.TUB))
    on(START + timedelta(days=2))
    page = text(client.get("/"))
    assert "<h1>One task due</h1>" in page
    assert "About 6 minutes. Tub 1 first." in page
    assert "<b>Turn</b>, a day late · day 2 of 11" in page
    assert "12.00 € at risk" in page
    assert "€ paid" not in page
    assert "Open every fold." in page
    assert page.index("Tub 1</h2>") < page.index('class="tools"')


def test_the_heading_counts_what_is_due_and_not_what_is_coming(client: Client) -> None:
    batch("B1", Step("Oil"), start=START)
    batch("B2", Step("Oil"), start=START, skins=("H02",))
    batch("B3", Step("Oil"), start=START + timedelta(days=1), skins=("H03",))
    on(START)
    page = text(client.get("/"))
    assert "<h1>Two tasks due</h1>" in page
    assert page.count("Oil: done") == 2
    assert "<b>Oil</b>, tomorrow" in page
    assert "Log it early" not in page


def test_what_comes_in_a_step_that_has_begun_may_be_logged_early(client: Client) -> None:
    batch()
    on(START)
    page = text(client.get("/"))
    assert "<b>Turn</b>, tomorrow" in page
    assert page.count("Log it early") == 1


def test_a_plan_of_later_is_coming_and_one_whose_day_has_passed_is_late_to_begin(client: Client) -> None:
    plan = batch("B1", Step("Flesh"), skins=(), planned_skins=3)
    on(START - timedelta(days=2))
    page = text(client.get("/"))
    assert "<b>Flesh</b>, Mon 20 January" in page
    assert "Log it early" not in page
    on(START + timedelta(days=3))
    page = text(client.get("/"))
    assert "<b>Flesh</b>, 3 days late to begin" in page
    assert tap(page)["kind"] == "done"
    plan.delete()


def test_a_bath_of_a_plan_is_begun_by_putting_it_in_work_not_by_a_tap_that_would_end_it(client: Client) -> None:
    batch("B1", skins=(), planned_skins=3)
    on(START)
    page = text(client.get("/"))
    assert "<b>Bath</b>, today" in page
    assert "Bath: done" not in page
    assert "/batches/B1/put-in-work/" in page


def test_nothing_due_says_so_and_what_comes_next(client: Client) -> None:
    batch("B1", Step("Frame", task="Begin to soften", lasts_days=8))
    batch("B2", Step("Rest", task="Lace", lasts_days=30), skins=("H02",))
    on(START)
    page = text(client.get("/"))
    assert "<h1>Nothing due today</h1>" in page
    assert "Next: Begin to soften, B1, on Tue 28 January 2025." in page


def test_a_batch_without_steps_still_shows(client: Client) -> None:
    made = factories.batch("B7", start=START)
    factories.skin("H01", date_in=START)
    factories.put(None, factories.material("SALT", on_hand=5, value=5, on=START), 1, on=START, tags=["H01"])
    on(START)
    page = text(client.get("/"))
    assert "B7" in page
    assert made.version.recipe.code in page


def test_one_tap_logs_the_turn_with_its_minutes_at_its_moment(client: Client) -> None:
    made = batch()
    on(START + timedelta(days=1))
    fields = tap(text(client.get("/")))
    assert (fields["kind"], fields["minutes"], fields["next"]) == ("repeat", "6", "/")
    answer = client.post(fields.pop("action"), fields, follow=True)
    assert answer.redirect_chain == [("/", 302)]
    mark = StepMark.objects.get()
    assert (mark.batch, mark.kind, mark.on) == (made, "repeat", START + timedelta(days=1))
    assert mark.labour is not None
    assert mark.labour.minutes == 6
    assert f'action="/marks/{mark.pk}/undo/"' in text(answer)
    assert "Nothing due today" in text(answer)


def test_the_same_tap_sent_twice_is_one_turn(client: Client) -> None:
    batch()
    on(START + timedelta(days=1))
    fields = tap(text(client.get("/")))
    action = fields.pop("action")
    for _ in range(2):
        assert client.post(action, fields, HTTP_X_KEPT="1").json()["state"] == "written"
    assert StepMark.objects.count() == 1


def test_two_tasks_never_share_a_request_key(client: Client) -> None:
    for number in range(3):
        batch(f"B{number}", Step("Oil"), skins=(f"H{number}",))
    on(START)
    keys = re.findall(r'name="request_key" value="(\w+)"', text(client.get("/")))
    assert len(keys) == len(set(keys)) == 3


def test_the_undo_of_a_tap_leaves_the_turn_due(client: Client) -> None:
    batch()
    on(START + timedelta(days=1))
    fields = tap(text(client.get("/")))
    page = text(client.post(fields.pop("action"), fields, follow=True))
    undo = re.search(r'<form class="undo" method="post" action="([^"]+)".*?</form>', page)
    assert undo
    sent = dict(re.findall(r'name="(\w+)" value="([^"]*)"', undo[0]))
    page = text(client.post(undo[1], sent, follow=True))
    assert "One task due" in page
    assert StepMark.objects.get().reversed_at is not None


def test_a_batch_without_skins_is_logged_without_minutes(client: Client) -> None:
    batch("B1", Step("Mix", minutes=30), skins=(), planned_skins=2)
    on(START)
    fields = tap(text(client.get("/")))
    assert fields["minutes"] == ""
    client.post(fields.pop("action"), fields)
    assert StepMark.objects.get().labour is None


@pytest.mark.thorough
def test_a_step_whose_session_was_timed_is_logged_without_minutes_so_that_none_counts_twice(client: Client) -> None:
    batch("B1", Step("Comb", minutes_per_skin=60, kind="finish"))
    on(START)
    assert tap(text(client.get("/")))["minutes"] == "60"
    sessions.start(tags=["H01"], kind="finish", request_key="start")
    sessions.stop(key="start", minutes=Decimal(25))
    fields = tap(text(client.get("/")))
    assert fields["minutes"] == ""
    client.post(fields.pop("action"), fields)
    assert StepMark.objects.get().labour is None
    assert [line.minutes for line in Batch.objects.get().labour.all()] == [Decimal(25)]


def test_a_running_timer_stands_on_today_with_its_stop(client: Client) -> None:
    batch()
    on(START + timedelta(days=1))
    sessions.start(tags=["H01"], by=User.objects.get(username="owner"), request_key="start")
    page = text(client.get("/"))
    assert 'name="key" value="start"' in page
    assert page.index("Running now") < page.index("Turn: done")


def test_who_may_only_read_sees_what_is_due_and_no_button(client: Client) -> None:
    batch()
    on(START + timedelta(days=1))
    page = text(signed_in(factories.person("bookkeeper")).get("/"))
    assert "One task due" in page
    assert "Turn: done" not in page
    assert "Start timer" not in page


def test_today_leads_to_the_sheet_for_a_sick_day_and_to_the_calendar(client: Client) -> None:
    batch()
    page = text(client.get("/"))
    assert 'href="/sick-day.pdf"' in page
    assert 'href="/setup/calendar/"' in page


def test_every_page_names_its_person_so_that_no_entry_of_another_is_sent(client: Client) -> None:
    assert f'data-person="{User.objects.get().pk}"' in text(client.get("/"))
    assert "data-person" not in text(Client().get("/sign-in/"))


@pytest.mark.thorough
@pytest.mark.slow
def test_today_takes_as_many_queries_for_thirty_batches_as_for_one(client: Client) -> None:
    batch("B1")
    on(START + timedelta(days=2))
    version = Batch.objects.get().version
    one = 0
    for number in range(2, 31):
        factories.skin(f"H{number:02}", date_in=START)
        made = factories.batch(f"B{number}", version=version, start=START, tags=[f"H{number:02}"])
        marks.log(batch=made, step=version.steps.get(), kind="repeat", on=START, minutes=Decimal(0))
        one = one or queries(client, "/")
    assert queries(client, "/") == one
