"""Days and times are those of the place where the workshop stands, whatever the server's clock says."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from django.utils import timezone

from inventory.base import checks, selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.errors import NotAllowed, Refused
from inventory.models import Workshop
from tests import factories

pytestmark = pytest.mark.django_db

# Half an hour before midnight UTC: tomorrow in Helsinki, still the day before yesterday's evening nowhere, noon in Auckland.
MOMENT = datetime(2026, 3, 1, 23, 30, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _the_clock_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: MOMENT)


@pytest.mark.parametrize(
    ("zone", "day", "hour"),
    [
        ("Europe/Helsinki", date(2026, 3, 2), "01:30"),
        ("America/Los_Angeles", date(2026, 3, 1), "15:30"),
        ("Pacific/Auckland", date(2026, 3, 2), "12:30"),
        ("UTC", date(2026, 3, 1), "23:30"),
    ],
)
def test_the_day_is_that_of_the_workshop(zone: str, day: date, hour: str) -> None:
    accounting.set_up(time_zone=zone)
    with workshop.at_home():
        assert workshop.today() == day
        assert workshop.day_of(MOMENT) == day
        assert f"{timezone.localtime(MOMENT):%H:%M}" == hour
    assert timezone.get_current_timezone_name() == "UTC"


def test_without_a_zone_the_servers_own_holds() -> None:
    accounting.set_up()
    with workshop.at_home():
        assert workshop.today() == date(2026, 3, 1)


def test_a_zone_that_this_machine_does_not_know_is_no_fault() -> None:
    accounting.set_up()
    Workshop.objects.update(time_zone="Mars/Olympus")
    workshop.forget()
    with workshop.at_home():
        assert workshop.today() == date(2026, 3, 1)


@pytest.mark.parametrize("zone", ["Helsinki", "EET+3", "Etc/GMT-2", "../secret", "Europe", "Europe/Helsinki\x00"])
def test_what_is_no_zone_is_refused_and_nothing_changes(zone: str) -> None:
    accounting.set_up(time_zone="Europe/Helsinki")
    with pytest.raises(Refused, match="is no time zone"):
        accounting.set_up(time_zone=zone)
    assert workshop.current().time_zone == "Europe/Helsinki"


def test_the_zones_are_places_and_utc() -> None:
    assert {"Europe/Helsinki", "America/Argentina/Ushuaia", "UTC"} <= checks.zones()
    assert not {"Etc/GMT+1", "posixrules", "EST"} & checks.zones()


def test_a_device_is_believed_once_and_never_over_what_was_chosen() -> None:
    accounting.set_up()
    accounting.guess_time_zone(zone="no/where")
    assert workshop.current().time_zone == ""
    accounting.guess_time_zone(zone="America/Chicago")
    assert workshop.current().time_zone == "America/Chicago"
    accounting.guess_time_zone(zone="Europe/Helsinki")
    assert workshop.current().time_zone == "America/Chicago"


def test_only_who_may_set_up_tells_the_zone() -> None:
    with pytest.raises(NotAllowed):
        accounting.guess_time_zone(zone="America/Chicago", by=factories.person("helper"))
