"""The door: a link's page and its button, what a wrong link does to others (nothing), one's own password, the way out."""

from __future__ import annotations

import re
from datetime import timedelta
from urllib.parse import parse_qs, urlsplit

import pytest
from axes.models import AccessAttempt
from django.contrib.auth.models import User
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import Settings

from inventory.models import SignInLink
from inventory.people import services as people
from inventory.people.links import services as links
from inventory.people.links.models import Door
from tests import factories
from tests.at_once import together
from tests.inventory.pages import by_link, signed_in, text
from workshop.setup import door

pytestmark = pytest.mark.django_db
PASSWORD, OTHER = "seven quiet alder trees", "eight quiet alder trees"


@pytest.fixture(autouse=True)
def quick(settings: Settings) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


def link(person: User | None = None, by: User | None = None) -> str:
    return door.path(links.make(person=person or people.owner(), door=Door.LINK, by=by))


def key_of(path: str) -> str:
    return parse_qs(urlsplit(path).query)["key"][0]


def press(path: str, browser: Client | None = None) -> HttpResponse:
    return (browser or Client()).post(urlsplit(path).path, {"key": key_of(path)})


def in_time(monkeypatch: pytest.MonkeyPatch, wait: timedelta) -> None:
    then = timezone.now() + wait
    monkeypatch.setattr(timezone, "now", lambda: then)


def test_the_page_of_a_link_shows_one_button_and_uses_nothing_up() -> None:
    path = link()
    for look in (Client().get, Client().head, Client(headers={"sec-purpose": "prefetch"}).get):
        answer = look(path)
        assert answer.status_code == 200
        assert answer["Cache-Control"] == "private, no-store"
    page = text(Client().get(path)).split("<main")[1].split("</main>")[0]
    assert re.findall(r"<button[^>]*>([^<]+)</button>", page) == ["Sign in as owner"]
    assert "<a " not in page
    assert press(path).status_code == 302


def test_the_button_is_pressed_once() -> None:
    path = link()
    assert press(path)["Location"] == "/"
    for answer in (press(path), Client().get(path)):
        assert answer.status_code == 403
        assert "used already" in text(answer)


def test_a_wrong_a_used_and_an_old_link_are_answered_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    used, old = link(), link()
    press(used)
    in_time(monkeypatch, timedelta(days=1, seconds=1))
    wrong = (used, old, "/sign-in/link/?key=forged", "/sign-in/link/")
    pages = {text(Client().get(path)).split("<main")[1].split("</main>")[0] for path in wrong}
    assert len(pages) == 1
    assert "Sign in as" not in pages.pop()


def test_a_button_pressed_on_another_site_s_page_signs_nobody_in() -> None:
    path = link()
    assert press(path, Client(enforce_csrf_checks=True)).status_code == 403
    assert press(path).status_code == 302


def test_wrong_links_shut_no_link_and_no_password() -> None:
    owner = people.owner()
    people.set_password(person=owner, password=PASSWORD)
    path, stranger = link(), Client()
    for number in range(20):
        assert stranger.get("/sign-in/link/", {"key": f"wrong{number}"}).status_code == 403
        assert stranger.post("/sign-in/link/", {"key": f"wrong{number}"}).status_code == 403
        assert stranger.post("/sign-in/phone/", {"key": f"wrong{number}"}).status_code == 403
    assert AccessAttempt.objects.count() == 0
    assert Client().post("/sign-in/", {"username": "owner", "password": PASSWORD}).status_code == 302
    assert by_link(path).status_code == 302


def test_wrong_passwords_shut_no_link() -> None:
    for _ in range(6):
        answer = Client().post("/sign-in/", {"username": "owner", "password": "wrong"})
    assert answer.status_code == 429
    assert by_link(link()).status_code == 302


def test_a_link_for_another_person_takes_the_device_over() -> None:
    helper = factories.person("helper")
    browser = signed_in(people.owner())
    path = link(helper)
    assert "You are signed in here as owner. That ends." in text(browser.get(path))
    press(path, browser)
    assert browser.get("/").context["user"] == helper


def test_the_page_made_before_another_signed_in_sends_nothing_for_its_person() -> None:
    """What waits on a device is bound to its person: the page that keeps it cannot send it under another's sign-in."""
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(people.owner(), backend="django.contrib.auth.backends.ModelBackend")
    found = re.search(r'"X-CSRFToken": "(\w+)"', browser.get("/setup/password/").content.decode())
    assert found
    path = link(factories.person("helper"))
    sealed = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', browser.get(path).content.decode())
    assert sealed
    browser.post("/sign-in/link/", {"key": key_of(path), "csrfmiddlewaretoken": sealed[1]})
    waiting = {"headers": {"x-kept": "waited", "x-csrftoken": found[1]}}
    assert browser.post("/light/", {"light": "dark"}, **waiting).status_code == 403


@pytest.mark.slow
@pytest.mark.usefixtures("shared_database")
def test_of_four_browsers_at_once_one_is_let_in() -> None:
    path = link()
    answers = together(*[lambda: press(path) for _ in range(4)])
    assert sorted(answer.status_code for answer in answers) == [302, 403, 403, 403]
    assert SignInLink.objects.get().used_at is not None


def change(client: Client, **typed: str) -> HttpResponse:
    return client.post(reverse("own_password"), {"request_key": "k1", **typed})


def test_the_first_password_asks_for_none_and_the_next_for_the_one_before() -> None:
    helper = factories.person("helper")
    browser = signed_in(helper)
    assert "Your password now" not in text(browser.get(reverse("own_password")))
    assert change(browser, password=PASSWORD).status_code == 302
    assert "Your password now" in text(browser.get(reverse("own_password")))
    for wrong in ({}, {"old": ""}, {"old": "wrong"}, {"old": OTHER}):
        assert change(browser, password=OTHER, **wrong).status_code == 200
    helper.refresh_from_db()
    assert helper.check_password(PASSWORD)
    assert change(browser, old=PASSWORD, password=OTHER).status_code == 302
    helper.refresh_from_db()
    assert helper.check_password(OTHER)
    assert browser.get("/").status_code == 200


def test_old_passwords_that_are_tried_are_shut_out_and_stand_in_no_log() -> None:
    helper = factories.person("helper")
    people.set_password(person=helper, password=PASSWORD)
    browser = signed_in(helper)
    answers = [change(browser, old=f"wrong secret {number}", password=OTHER).status_code for number in range(6)]
    assert answers[3:] == [200, 429, 429]
    assert change(browser, old=PASSWORD, password=OTHER).status_code == 429
    helper.refresh_from_db()
    assert helper.check_password(PASSWORD)
    rows = "".join(row.post_data for row in AccessAttempt.objects.all())
    assert "wrong secret" not in rows
    assert OTHER not in rows


def test_a_forgotten_password_is_set_anew_by_a_link_of_the_owner_s_within_the_hour(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    helper, browser = factories.person("helper"), Client()
    people.set_password(person=helper, password=PASSWORD)
    by_link(link(helper, by=factories.person("owner")), browser)
    assert "Your password now" not in text(browser.get(reverse("own_password")))
    in_time(monkeypatch, door.SPARED + timedelta(seconds=1))
    assert "Your password now" in text(browser.get(reverse("own_password")))
    monkeypatch.undo()
    assert change(browser, password=OTHER).status_code == 302
    assert change(browser, password=PASSWORD).status_code == 200


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("way", ["own link", "code"])
def test_a_link_for_oneself_spares_no_old_password(way: str) -> None:
    """Else whoever finds a device signed in would make one and take the sign-in over."""
    owner, browser = people.owner(), Client()
    people.set_password(person=owner, password=PASSWORD)
    code = door.path(links.make(person=owner, door=Door.PHONE, by=owner), Door.PHONE)
    by_link(link(owner, by=owner) if way == "own link" else code, browser)
    assert browser.get("/").status_code == 200
    assert change(browser, password=OTHER).status_code == 200
    assert "Your password now" in text(browser.get(reverse("own_password")))


def test_the_way_out_empties_what_the_browser_keeps_but_not_what_waits() -> None:
    browser = signed_in(people.owner())
    answer = browser.post(reverse("sign_out"))
    assert answer["Location"] == "/sign-in/"
    assert answer["Clear-Site-Data"] == '"cache"'
    assert answer["Cache-Control"] == "private, no-store"
    assert browser.get("/")["Location"] == "/sign-in/?next=/"


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/", 200),
        ("/nothing/", 404),
        ("/sign-in/", 302),
        ("/books/2025-01.csv", 200),
        ("/setup/people/9999/role/", 404),
    ],
)
def test_every_answer_is_kept_by_nobody(client: Client, path: str, status: int) -> None:
    answer = client.get(path)
    assert answer.status_code == status
    assert answer["Cache-Control"] == "private, no-store"


@pytest.mark.parametrize(("path", "status"), [("/", 302), ("/sign-in/", 200), ("/nothing/", 404)])
def test_a_stranger_s_too(path: str, status: int) -> None:
    answer = Client().get(path)
    assert answer.status_code == status
    assert answer["Cache-Control"] == "private, no-store"


def test_a_fault_is_kept_by_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError

    monkeypatch.setattr("inventory.foresight.snoozes.selectors.alerts", broken)
    browser = Client(raise_request_exception=False)
    browser.force_login(people.owner(), backend="django.contrib.auth.backends.ModelBackend")
    answer = browser.get("/")
    assert (answer.status_code, answer["Cache-Control"]) == (500, "private, no-store")


def test_the_program_s_own_files_are_kept() -> None:
    answer = Client().get("/static/workshop/tawery.css")
    list(answer.streaming_content)
    assert (answer.status_code, "no-store" in answer["Cache-Control"]) == (200, False)
