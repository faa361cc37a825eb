"""Opening the workshop: what it makes, that it may be repeated, its one-time link, and the door it serves on."""

from __future__ import annotations

import re
import socket
import stat
from contextlib import closing
from datetime import timedelta
from http.client import HTTPConnection
from io import StringIO
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.conf import settings as plain_settings
from django.core.management import CommandError, call_command
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from inventory.models import Article, Material, Workshop
from inventory.people import services as people
from tests.inventory.pages import by_link
from tests.serving import serving
from workshop import bootstrap as opening

LINK = re.compile(r"http://\S+key=\S+")


def opened(*words: str) -> str:
    out = StringIO()
    call_command("open", "--no-serve", *words, stdout=out)
    return out.getvalue()


@pytest.mark.usefixtures("demo")
def test_a_second_opening_keeps_secret_people_and_records(data: Path) -> None:
    opened()
    secret = (data / "secret.key").read_text()
    held = (Workshop.objects.count(), Material.objects.count(), Article.objects.count())
    said = opened()
    assert said.startswith("Routamo Skins, 31 December 2025\n")
    assert (data / "secret.key").read_text() == secret
    assert (Workshop.objects.count(), Material.objects.count(), Article.objects.count()) == held
    assert people.owner().username == "owner"


@pytest.mark.usefixtures("demo")
def test_the_link_signs_the_owner_in_once(data: Path) -> None:
    found = LINK.search(opened())
    assert found
    address = urlsplit(found.group())
    assert (address.hostname, address.port) == ("localhost", 8000)
    path = f"{address.path}?{address.query}"
    browser, second = Client(), Client()
    assert by_link(path, browser)["Location"] == "/"
    assert browser.get("/setup/").status_code == 200
    refused = second.get(path)
    assert refused.status_code == 403
    assert "used already" in refused.content.decode()
    assert second.get("/")["Location"].startswith("/sign-in/")


@pytest.mark.thorough
@pytest.mark.usefixtures("demo")
def test_a_link_of_the_first_opening_is_good_in_the_next(data: Path, settings: Settings) -> None:
    opened()
    path = opening.link("")
    # As the next process reads it: the file first, then all that is made of it.
    settings.SECRET_KEY = (data / "secret.key").read_text("ascii").strip()
    assert by_link(path)["Location"] == "/"


@pytest.mark.usefixtures("demo")
def test_peeking_at_the_link_does_not_use_it_up(data: Path) -> None:
    path = opening.link("")
    for look in (Client().head, Client().get, Client().get, Client(headers={"sec-purpose": "prefetch"}).get):
        assert look(path).status_code == 200
    assert by_link(path).status_code == 302


@pytest.mark.usefixtures("demo")
def test_a_link_of_the_day_before_yesterday_is_refused(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = opening.link("")
    then = timezone.now() + timedelta(days=1, seconds=1)
    monkeypatch.setattr(timezone, "now", lambda: then)
    assert by_link(path).status_code == 403


@pytest.mark.thorough
@pytest.mark.usefixtures("demo")
def test_a_maker_without_addresses_gets_no_label_and_the_reason(data: Path) -> None:
    Workshop.objects.update(postal_address="")
    assert "No care label of H03 yet: A label needs the maker's name, postal and electronic address." in opened()


@pytest.mark.thorough
@pytest.mark.usefixtures("demo")
def test_a_taken_port_is_refused_before_serving(data: Path) -> None:
    with closing(socket.socket()) as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(CommandError, match=rf"^Port {port} on 127\.0\.0\.1 cannot be used .*--port\.$"):
            call_command("open", "--port", str(port), stdout=StringIO())


@pytest.mark.usefixtures("demo")
@pytest.mark.parametrize("port", ["-1", "70000"])
def test_a_port_that_is_none_is_refused(data: Path, port: str) -> None:
    with pytest.raises(CommandError, match=rf"^Port {port} on 127\.0\.0\.1 cannot be used"):
        call_command("open", f"--port={port}", stdout=StringIO())


@pytest.mark.django_db
def test_a_data_folder_that_cannot_be_made_is_refused(data: Path) -> None:
    data.write_text("a file stands here")
    with pytest.raises(CommandError, match=r"^The data folder .* cannot be made: .*\. Set TAWERY_DATA to another\.$"):
        opened()


@pytest.mark.usefixtures("demo")
def test_a_network_address_of_its_own_is_answered_to(data: Path) -> None:
    assert opening.address("192.0.2.7", 8000) == "http://192.0.2.7:8000"
    assert "192.0.2.7" in plain_settings.ALLOWED_HOSTS
    assert opening.address("2001:db8::7", 8000) == "http://[2001:db8::7]:8000"
    assert "[2001:db8::7]" in plain_settings.ALLOWED_HOSTS


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "127.0.0.1", "::1"])  # noqa: S104
def test_this_machine_is_called_localhost(host: str) -> None:
    assert opening.address(host, 8001) == "http://localhost:8001"


def test_listening_everywhere_says_what_a_phone_needs(settings: Settings) -> None:
    settings.ALLOWED_HOSTS = [*opening.OWN_NAMES]
    assert opening.hint("127.0.0.1", 8000) == ""
    assert "TAWERY_HOSTS" in opening.hint("0.0.0.0", 8000)  # noqa: S104
    settings.ALLOWED_HOSTS = [*opening.OWN_NAMES, "shed.example"]
    assert opening.hint("0.0.0.0", 8000).startswith("From a phone: http://shed.example:8000. A code")  # noqa: S104


def test_a_server_that_listens_to_all_answers_to_the_machine_s_own_address(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.ALLOWED_HOSTS = [*opening.OWN_NAMES]
    monkeypatch.setattr(opening.addresses, "own_address", lambda: "192.0.2.20")
    opening.answer_on_network("127.0.0.1")
    assert [*opening.OWN_NAMES] == settings.ALLOWED_HOSTS
    for _ in range(2):
        opening.answer_on_network("0.0.0.0")  # noqa: S104
    assert [*opening.OWN_NAMES, "192.0.2.20"] == settings.ALLOWED_HOSTS
    assert opening.hint("0.0.0.0", 8000).startswith("From a phone: http://192.0.2.20:8000.")  # noqa: S104
    monkeypatch.setattr(opening.addresses, "own_address", lambda: "")
    opening.answer_on_network("0.0.0.0")  # noqa: S104
    assert [*opening.OWN_NAMES, "192.0.2.20"] == settings.ALLOWED_HOSTS


def ask(port: int, path: str, sent: str = "", **headers: str) -> tuple[int, dict[str, str], str]:
    """What the door answers; cookies together under one name."""
    given = {name.replace("_", "-"): value for name, value in headers.items()}
    if sent:
        given["Content-Type"] = "application/x-www-form-urlencoded"
    with closing(HTTPConnection("127.0.0.1", port, timeout=10)) as door:
        door.request("POST" if sent else "GET", path, sent or None, given)
        answer = door.getresponse()
        told: dict[str, str] = {}
        for name, value in answer.getheaders():
            told[name.lower()] = f"{told[name.lower()]}, {value}" if name.lower() in told else value
        return answer.status, told, answer.read().decode()


@pytest.mark.thorough
@pytest.mark.slow
def test_the_served_workshop_lets_the_link_in_and_strangers_not(tmp_path: Path, type_is_cut: None) -> None:
    data = tmp_path / "data"
    with serving(data) as (port, said):
        found = LINK.search(said)
        assert found
        status, headers, _ = ask(port, "/shelf/")
        assert (status, headers["location"]) == (302, "/sign-in/?next=/shelf/")
        assert ask(port, "/", Host="elsewhere.example")[0] == 400
        assert ask(port, "/static/workshop/tawery.css")[0] == 200
        address = urlsplit(found.group())
        status, headers, page = ask(port, f"{address.path}?{address.query}")
        assert (status, headers["cache-control"]) == (200, "private, no-store")
        sealed = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
        assert sealed
        button = f"{address.query}&csrfmiddlewaretoken={sealed[1]}"
        status, headers, _ = ask(port, address.path, button, Cookie=headers["set-cookie"].split(";")[0])
        assert (status, headers["location"]) == (302, "/")
        found = re.search(r"sessionid=\w+", headers["set-cookie"])
        assert found
        cookie = found.group()
        status, headers, page = ask(port, "/", Cookie=cookie)
        assert (status, "Potash alum" in page) == (200, True)
        assert "server" not in headers
    assert {stat.S_IMODE(file.stat().st_mode) for file in data.glob("*.sqlite3*")} <= {0o600}


@pytest.mark.thorough
@pytest.mark.slow
def test_behind_tls_the_proxy_of_this_machine_is_believed(tmp_path: Path, type_is_cut: None) -> None:
    with serving(tmp_path / "data", "--empty", TAWERY_HTTPS="1") as (port, _):
        status, headers, _ = ask(port, "/sign-in/")
        assert (status, headers["location"]) == (301, f"https://127.0.0.1:{port}/sign-in/")
        status, headers, _ = ask(port, "/sign-in/", X_Forwarded_Proto="https")
        assert status == 200
        assert "max-age=31536000" in headers["strict-transport-security"]
        assert "secure" in headers["set-cookie"].lower()
