"""The time zone: told by the owner's first page, kept in Setup, and followed by pages, commands, files and entries."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import Settings

from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.models import Skin, Workshop
from tests import factories
from tests.inventory.pages import signed_in
from workshop import transfer
from workshop.transfer import saving

pytestmark = pytest.mark.django_db

# Tomorrow already in Helsinki.
MOMENT = datetime(2026, 3, 1, 23, 30, tzinfo=UTC)


@pytest.fixture
def late(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "now", lambda: MOMENT)


@pytest.fixture
def client(db: None) -> Client:
    """The owner of a workshop whose calendar runs."""
    return signed_in()


def shown_day(client: Client) -> str:
    return client.get(reverse("skins")).content.decode().split('datetime="')[1].split('"')[0]


def test_pages_show_the_day_of_the_workshop(client: Client, late: None) -> None:
    accounting.set_up()
    assert shown_day(client) == "2026-03-01"
    accounting.set_up(time_zone="Europe/Helsinki")
    assert shown_day(client) == "2026-03-02"
    accounting.set_up(time_zone="America/Los_Angeles")
    assert shown_day(client) == "2026-03-01"


def test_an_entry_without_a_day_is_of_the_workshops_day(client: Client, late: None) -> None:
    accounting.set_up(time_zone="Europe/Helsinki")
    page = client.get(reverse("skin_new")).content.decode()
    assert 'value="2026-03-02"' in page
    sent = {
        "request_key": "z1",
        "tag": "Z1",
        "species": "Sheep",
        "owner": "mine",
        "date_in": "2026-03-02",
        "price": "5",
    }
    assert client.post(reverse("skin_new"), sent).status_code == 302
    assert Skin.objects.get(tag="Z1").date_in == date(2026, 3, 2)


def test_commands_follow_the_workshop_too(late: None) -> None:
    accounting.set_up(time_zone="Europe/Helsinki")
    said = StringIO()
    call_command("due", "--json", stdout=said)
    assert "2026-03-02" in json.dumps(json.loads(said.getvalue()))


def test_the_first_page_of_the_owner_asks_the_device_until_it_is_known(client: Client) -> None:
    accounting.set_up()
    asked = f'data-zone="{reverse("guess_zone")}"'
    assert asked in client.get(reverse("skins")).content.decode()
    assert client.post(reverse("guess_zone"), {"zone": "Europe/Helsinki"}).status_code == 204
    assert Workshop.objects.get().time_zone == "Europe/Helsinki"
    assert asked not in client.get(reverse("skins")).content.decode()


def test_a_helper_and_a_server_with_a_zone_of_its_own_are_not_asked(client: Client, settings: Settings) -> None:
    accounting.set_up()
    helper = signed_in(factories.person("helper"))
    assert "data-zone" not in helper.get(reverse("skins")).content.decode()
    assert helper.post(reverse("guess_zone"), {"zone": "Europe/Helsinki"}).status_code == 403
    settings.TIME_ZONE = "America/Chicago"
    assert "data-zone" not in client.get(reverse("skins")).content.decode()
    assert Workshop.objects.get().time_zone == ""


def test_setup_keeps_and_changes_the_zone_and_refuses_what_is_none(client: Client) -> None:
    accounting.set_up(name="Shop", time_zone="Europe/Helsinki")
    page = client.get(reverse("setup_where")).content.decode()
    assert 'value="Europe/Helsinki"' in page
    sent = {
        "request_key": "k",
        "locale": "",
        "units": "metric",
        "paper": "a4",
        "paper_language": "en",
        "bath_unit": "L",
        "degrees": "C",
        "law": "EU",
    }
    client.post(reverse("setup_where"), {**sent, "time_zone": "America/Chicago"})
    assert Workshop.objects.get().time_zone == "America/Chicago"
    assert "time of America/Chicago" in " ".join(client.get(reverse("setup")).content.decode().split())
    refused = client.post(reverse("setup_where"), {**sent, "request_key": "k2", "time_zone": "Chicago"})
    assert 'id="id_time_zone_error"' in refused.content.decode()
    assert Workshop.objects.get().time_zone == "America/Chicago"


def test_the_zone_is_saved_and_loaded(tmp_path: Path) -> None:
    accounting.set_up(time_zone="Europe/Helsinki")
    saving.save(tmp_path / "kept")
    accounting.set_up(time_zone="")
    transfer.load(tmp_path / "kept")
    workshop.forget()
    assert workshop.current().time_zone == "Europe/Helsinki"
