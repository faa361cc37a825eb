"""A clock that is minutes apart from the device's is said, and keeps no entry out for good."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from costing.models import Reading
from inventory.models import Skin
from tests.inventory.pages import text
from workshop import clocks

NOW = datetime(2026, 3, 1, 10, tzinfo=UTC)


@pytest.mark.parametrize(
    ("off", "says"),
    [
        (timedelta(minutes=5), ""),
        (timedelta(minutes=-5), ""),
        (timedelta(minutes=18), "is 18 minutes behind this device's"),
        (timedelta(minutes=-18), "is 18 minutes ahead of this device's"),
        (timedelta(hours=3), "is 3 hours behind"),
        (timedelta(days=20_000), "is 20000 days behind"),
    ],
)
def test_minutes_are_said_and_seconds_are_not(off: timedelta, says: str) -> None:
    assert says in clocks.apart((NOW + off).isoformat(), NOW)
    assert bool(clocks.apart((NOW + off).isoformat(), NOW)) is bool(says)


@pytest.mark.parametrize("sent", ["", "now", "2026-03-01T11:00:00", "\ud800", "9" * 5000])
def test_a_device_that_does_not_say_is_not_judged(sent: str) -> None:
    assert clocks.apart(sent, NOW) == ""


def send(client: Client, off: timedelta) -> object:
    moment = (timezone.now() + off).isoformat()
    fields = {"tap": moment, "note": "weighed", "request_key": f"clock {off}"}
    address = reverse("reading_new_skin", args=[Skin.objects.earliest("pk").tag])
    return client.post(address, fields, headers={"x-kept": "1", "x-clock": moment})


@pytest.mark.usefixtures("demo", "aside")
def test_an_entry_of_a_phone_that_is_ahead_waits_until_the_clock_is_set(client: Client) -> None:
    answer = send(client, timedelta(minutes=30))
    assert (answer.status_code, answer.json()["state"]) == (503, "waiting")
    assert "is 30 minutes behind this device's. Set the one that is wrong" in answer.json()["why"]
    assert not Reading.objects.filter(note="weighed").exists()


@pytest.mark.usefixtures("demo", "aside")
def test_an_entry_that_is_taken_is_followed_by_the_warning(client: Client) -> None:
    answer = send(client, timedelta(minutes=-30))
    assert (answer.status_code, answer.json()["state"]) == (200, "written"), answer.content
    assert "is 30 minutes ahead of this device's" in text(client.get(answer.json()["next"]))
    answer = send(client, timedelta(minutes=-1))
    assert "ahead of" not in text(client.get(answer.json()["next"]))
