"""A phone is signed in by a code on the screen: for oneself, once, for minutes, and only where a phone really comes in."""

from __future__ import annotations

import re
import socket
from contextlib import closing
from datetime import timedelta
from urllib.parse import urlsplit

import pytest
import zxingcpp
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image, ImageDraw
from pytest_django import Settings

from inventory.people import services as people
from inventory.people.links import services as links
from inventory.people.links.models import Door
from tests.inventory.pages import by_link, signed_in, text
from workshop.phone import addresses
from workshop.phone.views import drawn

pytestmark = pytest.mark.django_db
NETWORK = {"headers": {"host": "192.0.2.20:8000"}}


@pytest.fixture(autouse=True)
def network(settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
    """The machine is 192.0.2.20 in its network, and the server answers to that name but listens to this machine only."""
    settings.ALLOWED_HOSTS = ["localhost", "127.0.0.1", "192.0.2.20", "testserver"]
    monkeypatch.setattr(addresses, "own_address", lambda: "192.0.2.20")
    monkeypatch.setattr(addresses, "_answers", lambda host, port: False)


@pytest.fixture
def client(db: None) -> Client:
    return signed_in(people.owner())


def link_of(answer: HttpResponse) -> str:
    found = re.search(r'value="(http[^"]+)"', answer.content.decode())
    assert found
    return found[1]


def made(client: Client) -> str:
    answer = client.post(reverse("phone"), {"request_key": "k"}, **NETWORK)
    return link_of(answer)


def test_the_address_is_the_one_by_which_the_question_came(client: Client) -> None:
    assert "<b>http://192.0.2.20:8000</b>" in text(client.get(reverse("phone"), **NETWORK))
    assert made(client).startswith("http://192.0.2.20:8000/sign-in/phone/?key=")


def test_asked_from_the_machine_itself_it_is_the_machine_s_own_in_its_network(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []
    monkeypatch.setattr(addresses, "_answers", lambda host, port: bool(asked.append((host, port))) or True)
    answer = client.post(reverse("phone"), {"request_key": "k"}, headers={"host": "localhost:8010"})
    assert link_of(answer).startswith("http://192.0.2.20:8010/sign-in/phone/")
    assert asked == [("192.0.2.20", 8010)]


def test_a_server_that_listens_to_this_machine_alone_says_so_and_makes_no_link(client: Client) -> None:
    home = {"headers": {"host": "localhost:8010"}}
    for answer in (client.get(reverse("phone"), **home), client.post(reverse("phone"), {"request_key": "k"}, **home)):
        shown = text(answer)
        assert "it listens on this computer only" in shown
        assert "<code>manage.py open --listen 0.0.0.0 --port 8010</code>" in shown
        assert "192.0.2.20" in shown
        assert "?key=" not in shown


def test_a_machine_in_no_network_is_told_to_join_one(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(addresses, "own_address", lambda: "")
    assert "in no network" in text(client.get(reverse("phone"), headers={"host": "127.0.0.1:8000"}))


def test_a_name_that_the_server_does_not_answer_to_gets_no_link(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(addresses, "_answers", lambda host, port: True)
    assert addresses.way("http://localhost:8000").address == "http://192.0.2.20:8000"
    settings.ALLOWED_HOSTS = ["localhost"]
    assert addresses.way("http://localhost:8000") == addresses.Way("", 8000, "192.0.2.20")


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1", "127.8.8.8", "[::1]", "shed.localhost"])
def test_names_of_the_machine_itself_are_of_no_use_to_a_phone(host: str) -> None:
    assert addresses.way(f"http://{host}:8000").address == ""


def test_the_way_keeps_scheme_and_name_of_a_proxy() -> None:
    assert addresses.way("https://shed.example.org").address == "https://shed.example.org"


def test_the_link_signs_the_person_in_once(client: Client) -> None:
    link = made(client)
    phone = Client()
    assert by_link(link, phone)["location"] == "/"
    assert f'data-person="{people.owner().pk}"' in text(phone.get("/"))
    refused = by_link(link)
    assert refused.status_code == 403
    assert "used already" in text(refused)


def test_the_link_is_for_oneself_whatever_the_role() -> None:
    people.owner()
    helper = people.add(name="Mia", role="helper")
    phone = Client()
    by_link(made(signed_in(helper)), phone)
    assert f'data-person="{helper.pk}"' in text(phone.get("/"))
    assert phone.get("/setup/").status_code == 403


def test_the_link_is_good_for_minutes_only(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    link = made(client)
    then = timezone.now() + links.LIVES[Door.PHONE] + timedelta(seconds=1)
    monkeypatch.setattr(timezone, "now", lambda: then)
    assert by_link(link).status_code == 403


def test_the_link_opens_at_its_own_door_only(client: Client) -> None:
    link = made(client).replace(reverse("phone_link"), reverse("sign_in_link"))
    assert by_link(link).status_code == 403


def test_peeking_does_not_use_it_up(client: Client) -> None:
    parts = urlsplit(made(client))
    for look in (Client().head, Client().get):
        assert look(f"{parts.path}?{parts.query}").status_code == 200
    assert by_link(parts.geturl()).status_code == 302


def test_the_page_with_the_code_is_kept_by_nobody_and_a_stranger_gets_none(client: Client) -> None:
    answer = client.post(reverse("phone"), {"request_key": "k"}, **NETWORK)
    assert answer["Cache-Control"] == "private, no-store"
    assert "http://192.0.2.20:8000" in text(answer)
    assert "10 minutes" in text(answer)
    assert "style=" not in answer.content.decode()
    assert Client().post(reverse("phone"), {"request_key": "k"}).status_code == 302
    forged = Client(enforce_csrf_checks=True)
    forged.force_login(people.owner(), backend="django.contrib.auth.backends.ModelBackend")
    assert forged.post(reverse("phone"), {"request_key": "k"}, **NETWORK).status_code == 403


def test_the_code_reads_back_as_the_link(client: Client) -> None:
    link = made(client)
    assert read(drawn(link)) == link


def read(svg: str) -> str:
    """What a camera reads of the drawing: its second path is runs of squares, `M x y h run m x y h run …`."""
    scale = 6
    shown = re.search(r'width="(\d+)"', svg)
    assert shown
    sheet = Image.new("L", (int(shown[1]), int(shown[1])), 255)
    pen, x, y = ImageDraw.Draw(sheet), 0.0, 0.0
    for sign, words in re.findall(r"([Mmh])([-\d. ]+)", re.findall(r'd="([^"]+)"', svg)[1]):
        given = [float(number) for number in re.findall(r"-?[\d.]+", words)]
        if sign == "h":
            pen.rectangle((x * scale, (y - 0.5) * scale, (x + given[0]) * scale - 1, (y + 0.5) * scale - 1), fill=0)
            x += given[0]
        else:
            x, y = (given[0], given[1]) if sign == "M" else (x + given[0], y + given[1])
    found = zxingcpp.read_barcodes(sheet)
    return found[0].text if found else ""


def test_an_open_port_is_told_from_a_closed_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    with closing(socket.socket()) as door:
        door.bind(("127.0.0.1", 0))
        port = door.getsockname()[1]
        assert not addresses._answers("127.0.0.1", port)
        door.listen()
        assert addresses._answers("127.0.0.1", port)


def test_the_machine_s_own_address_is_one_that_others_understand(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    found = addresses.own_address()
    assert found == "" or not addresses._this_machine(found)
