"""The calendar feed: what RFC 5545 asks of it, read back by `icalendar`, and what the shed asks of it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from icalendar import Calendar, Event

from costing.make.recipes.services import Step
from costing.make.steps.calendar import services as calendar
from costing.make.steps.marks import services as marks
from costing.models import Batch, CalendarLink
from inventory.base.accounting import services as workshop
from inventory.models import Place
from inventory.people import services as people
from tests import factories as make
from tests.factories import days_from
from workshop.calendar import feed

pytestmark = pytest.mark.django_db
START = date(2025, 1, 20)
NOW = datetime(2025, 1, 20, 7, 30, tzinfo=UTC)
TUB = "Kölninsaavi, oven; vieressä"

BATH = Step(
    "Bath",
    task="Take out, neutralise; drip",
    lasts_days=4,
    every_days=1,
    repeat="Turn",
    repeat_minutes=6,
    minutes=36,
    uses="tub",
    caution="Open every fold, and mind the back\\slash: where skin lies on skin it stays raw; ÄÖÅ äöå — " + "ä" * 100,
)

day = days_from(START)


@pytest.fixture
def batch(db: None) -> Batch:
    workshop.set_up(name="Routamo Skins")
    workshop.pin_today(on=START)
    make.skin("H06", date_in=START, owner="customer", customer="Mrs Tuohiköngäs", price=0)
    version = make.recipe("R1", steps=[BATH, Step("Oil", wait_days=1)])
    tub = make.place(TUB, Place.Kind.TUB)
    return make.batch("B1", version=version, start=START, tags=["H06"], place=tub, note="for Mrs Tuohiköngäs")


@pytest.fixture
def person(db: None) -> User:
    return make.person("helper")


def written(nth: int = 0, now: datetime = NOW) -> bytes:
    return feed.write(day(nth), now)


def events(content: bytes) -> list[Event]:
    return [each for each in Calendar.from_ical(content).walk("VEVENT") if isinstance(each, Event)]


def plain(content: bytes) -> list[tuple[int, str]]:
    return [((each["DTSTART"].dt - START).days, str(each["SUMMARY"])) for each in events(content)]


def test_each_planned_day_is_an_event_with_what_whose_and_where(batch: Batch) -> None:
    assert plain(written()) == [
        (1, f"Turn B1 · {TUB}"),
        (2, f"Turn B1 · {TUB}"),
        (3, f"Turn B1 · {TUB}"),
        (4, f"Take out, neutralise; drip B1 · {TUB}"),
        (5, f"Oil B1 · {TUB}"),
    ]


def test_the_calendar_has_what_the_standard_requires(batch: Batch) -> None:
    """RFC 5545, 3.6: PRODID and VERSION once; 3.7.2: METHOD. RFC 7986, 5.1 and 5.7: NAME, REFRESH-INTERVAL as a duration."""
    made = Calendar.from_ical(written())
    assert (made["VERSION"], made["METHOD"], made["CALSCALE"]) == ("2.0", "PUBLISH", "GREGORIAN")
    assert made["PRODID"].startswith("-//Tawery//")
    assert made["NAME"] == made["X-WR-CALNAME"] == "Routamo Skins: the shed"
    assert made["REFRESH-INTERVAL"].dt == timedelta(hours=6)
    assert b"REFRESH-INTERVAL;VALUE=DURATION:PT6H\r\n" in written()


def test_an_event_has_what_the_standard_requires(batch: Batch) -> None:
    """RFC 5545, 3.6.1: UID and DTSTAMP once, DTSTART where there is a METHOD; an all-day DTEND is the day after, not part of it."""
    for each in events(written()):
        assert len(each["UID"]) == 36
        assert each["DTSTAMP"].dt == NOW
        assert type(each["DTSTART"].dt) is date
        assert each["DTSTART"].params["VALUE"] == "DATE"
        assert each["DTEND"].dt - each["DTSTART"].dt == timedelta(days=1)
        assert each["TRANSP"] == "TRANSPARENT"
        assert each.subcomponents == []


def test_lines_end_and_fold_as_the_standard_says(batch: Batch) -> None:
    """RFC 5545, 3.1: CRLF at each end, no line over 75 octets, and no fold inside a letter of several octets."""
    lines = written().split(b"\r\n")
    assert lines[-1] == b""
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert max(len(line) for line in lines) <= 75
    assert any(line.startswith(b" ") for line in lines)
    for line in lines:
        line.decode("utf-8")


def test_commas_semicolons_and_backslashes_are_escaped_and_read_back(batch: Batch) -> None:
    """RFC 5545, 3.3.11."""
    unfolded = written().replace(b"\r\n ", b"").decode()
    assert "SUMMARY:Take out\\, neutralise\\; drip B1 · Kölninsaavi\\, oven\\; vieressä\r\n" in unfolded
    assert "CATEGORIES:Kölninsaavi\\, oven\\; vieressä\r\n" in unfolded
    assert "the back\\\\slash: where" in unfolded
    out = events(written())[3]
    assert out["CATEGORIES"].cats == [TUB]
    assert BATH.caution in str(out["DESCRIPTION"]).splitlines()


def test_a_description_says_the_minutes_and_what_hurts(batch: Batch) -> None:
    turn = str(events(written())[0]["DESCRIPTION"]).splitlines()
    assert turn[:2] == ["About 6 minutes.", BATH.caution]
    assert any("gloves" in line for line in turn[2:])


def test_neither_a_customer_nor_a_skin_is_named(batch: Batch) -> None:
    unfolded = written().replace(b"\r\n ", b"").decode()
    assert "Tuohi" not in unfolded
    assert "H06" not in unfolded


def test_an_event_keeps_its_name_whenever_the_feed_is_written(batch: Batch) -> None:
    first, later = events(written()), events(written(now=NOW + timedelta(hours=6)))
    assert [each["UID"] for each in first] == [each["UID"] for each in later]
    assert len({each["UID"] for each in first}) == len(first)


def test_a_late_event_moves_to_today_under_its_own_name_with_a_higher_number(batch: Batch) -> None:
    planned = {each["DTSTART"].dt: each for each in events(written())}
    moved = events(written(3))[0]
    assert str(moved["SUMMARY"]) == f"Turn B1 · {TUB}, late since 21 Jan 2025"
    assert moved["DTSTART"].dt == day(3)
    assert moved["UID"] == planned[day(1)]["UID"]
    assert moved["SEQUENCE"] == 2 > planned[day(1)]["SEQUENCE"] == 0


def test_what_was_logged_leaves_the_calendar(batch: Batch) -> None:
    marks.log(batch=batch, step=batch.version.steps.get(name="Bath"), kind="done", on=day(4))
    assert plain(written(4)) == [(5, f"Oil B1 · {TUB}")]


def test_the_feed_looks_sixty_days_ahead(batch: Batch) -> None:
    version = make.recipe("R2", steps=[Step("Dry", wait_days=60), Step("Soften", wait_days=1)])
    make.batch("B2", version=version, start=START, planned_skins=1)
    assert [words for nth, words in plain(written()) if "B2" in words] == ["Dry B2 · No place named"]


def test_nothing_to_do_is_a_calendar_without_events(db: None) -> None:
    made = Calendar.from_ical(feed.write(START, NOW))
    assert made.subcomponents == []


def address(token: str) -> str:
    return reverse("calendar", args=[token])


def test_the_link_gives_the_calendar_to_whoever_holds_it(batch: Batch, person: User) -> None:
    _, token = calendar.make(by=person, name="Phone")
    answer = Client().get(address(token))
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert (answer["Cache-Control"], answer["Referrer-Policy"]) == ("private, no-store", "no-referrer")
    assert next(str(each["SUMMARY"]) for each in events(answer.content)) == f"Turn B1 · {TUB}"
    assert "Set-Cookie" not in answer.headers
    assert not answer.cookies


@pytest.mark.parametrize("shut", ["unknown", "ended", "shut out", "another role"])
def test_every_link_that_opens_nothing_is_answered_alike(batch: Batch, person: User, shut: str) -> None:
    link, token = calendar.make(by=person, name="Phone")
    if shut == "unknown":
        token = "forged"
    elif shut == "ended":
        calendar.end(link=link, by=person)
    elif shut == "shut out":
        people.shut_out(person=person)
    else:
        people.change_role(person=person, role="bookkeeper")
    answer = Client().get(address(token))
    assert (answer.status_code, answer.content) == (404, b"There is no such calendar.\n")
    assert (answer["Cache-Control"], answer["Referrer-Policy"]) == ("private, no-store", "no-referrer")


def test_a_calendar_is_only_read(batch: Batch, person: User) -> None:
    _, token = calendar.make(by=person, name="Phone")
    assert Client().head(address(token)).status_code == 200
    assert Client().post(address(token)).status_code == 405


@pytest.fixture
def browser(person: User) -> Client:
    client = Client()
    client.force_login(person)
    return client


def shown_link(page: Any) -> str:
    return str(page.content.decode().split('id="link" value="')[1].split('"')[0])


def test_a_link_is_made_shown_once_listed_and_ended(batch: Batch, browser: Client, person: User) -> None:
    page = browser.get(reverse("calendar_links")).content.decode()
    assert "Anyone with this link can read it; end it when the phone is lost." in page
    made = browser.post(reverse("calendar_links"), {"name": "Shed phone", "request_key": "k1"})
    link = shown_link(made)
    assert made["Cache-Control"] == "private, no-store"
    assert Client().get(link).status_code == 200
    page = browser.get(reverse("calendar_links")).content.decode()
    assert "Shed phone" in page
    assert link.rsplit("/", 1)[1] not in page
    end = reverse("calendar_end", args=[CalendarLink.objects.get().pk])
    assert "End the link “Shed phone”?" in browser.get(end).content.decode()
    assert Client().get(link).status_code == 200
    assert browser.post(end, {"request_key": "k2"}).status_code == 302
    assert Client().get(link).status_code == 404
    assert "Ended: Shed phone on" in " ".join(browser.get(reverse("calendar_links")).content.decode().split())


def test_a_form_sent_again_says_so_beside_the_name(batch: Batch, browser: Client) -> None:
    for _ in range(2):
        page = browser.post(reverse("calendar_links"), {"name": "Phone", "request_key": "k1"})
    assert "made by this form already" in page.content.decode()
    assert CalendarLink.objects.count() == 1


def test_a_link_without_a_name_is_not_made(browser: Client) -> None:
    page = browser.post(reverse("calendar_links"), {"name": " ", "request_key": "k1"}).content.decode()
    assert "Please correct this" in page
    assert not CalendarLink.objects.exists()


def test_everybody_sees_and_ends_their_own_links_only(batch: Batch, browser: Client) -> None:
    theirs, token = calendar.make(by=make.owner(), name="Kitchen tablet")
    assert "Kitchen tablet" not in browser.get(reverse("calendar_links")).content.decode()
    assert browser.post(reverse("calendar_end", args=[theirs.pk]), {"request_key": "k1"}).status_code == 404
    assert Client().get(address(token)).status_code == 200


def test_who_has_no_work_in_the_shed_has_no_page_of_links(db: None) -> None:
    client = Client()
    client.force_login(make.person("bookkeeper"))
    assert client.get(reverse("calendar_links")).status_code == 403
    assert client.post(reverse("calendar_links"), {"name": "x", "request_key": "k"}).status_code == 403
