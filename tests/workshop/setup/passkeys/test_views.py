"""Pages of passkeys: who may add one, what signs in, what is counted and shut, and what is said where no browser makes one."""

from __future__ import annotations

import html
import json
import re
from datetime import timedelta
from typing import Any

import pytest
from axes.models import AccessAttempt
from django.conf import settings
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import Settings

from inventory.models import Passkey
from inventory.people import services as people
from inventory.people.links import services as links
from inventory.people.links.models import Door
from tests import factories
from tests.inventory.pages import by_link, signed_in, text
from tests.inventory.people.passkeys.device import Device
from workshop.setup import door
from workshop.setup.passkeys import challenges, proven

pytestmark = pytest.mark.django_db
PASSWORD = "seven quiet alder trees"
POSTED = {"request_key": "k1"}
HERE = {"name": "Phone"}


@pytest.fixture(autouse=True)
def named(settings: Settings) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    settings.ALLOWED_HOSTS = ["localhost", "books.example", "testserver", "192.168.1.20"]


def browser(host: str = "books.example", scheme: str = "https", **options: Any) -> Client:
    """As a proxy that is believed hands it on."""
    return Client(headers={"host": host, "x-forwarded-proto": scheme}, **options)


@pytest.fixture
def helper() -> User:
    person = factories.person("helper")
    people.set_password(person=person, password=PASSWORD)
    return person


def come_in(client: Client, person: User) -> None:
    sent = {"username": person.username, "password": PASSWORD}
    assert client.post("/sign-in/", sent).status_code == 302


def late(monkeypatch: pytest.MonkeyPatch, wait: timedelta) -> None:
    then = timezone.now() + wait
    monkeypatch.setattr(timezone, "now", lambda: then)


def asked(page: HttpResponse) -> dict[str, Any]:
    found = re.search(r'data-options="([^"]+)"', page.content.decode())
    assert found, text(page)
    read: dict[str, Any] = json.loads(html.unescape(found[1]))
    return read


def add(client: Client, device: Device, **typed: str) -> HttpResponse:
    """Both halves; the answer to the second, or to the first where that is refused."""
    first = client.post(reverse("own_passkeys"), {**POSTED, **HERE, **typed})
    if first.status_code != 302:
        return first
    assert first["Location"] == reverse("passkey_new")
    options = asked(client.get(reverse("passkey_new")))
    return client.post(reverse("passkey_new"), {**POSTED, "answer": device.make(options)})


def challenge(client: Client) -> dict[str, Any]:
    answer = client.post(reverse("passkey_options"))
    assert answer.status_code == 200
    read: dict[str, Any] = answer.json()
    return read


def show(client: Client, device: Device, **more: str) -> HttpResponse:
    sent = {"answer": device.show(challenge(client)), **more}
    return client.post(reverse("passkey_sign_in"), sent)


@pytest.fixture
def phone(helper: User) -> Device:
    device, client = Device(), browser()
    come_in(client, helper)
    assert add(client, device)["Location"] == reverse("own_passkeys")
    return device


def test_who_has_just_signed_in_adds_one_and_comes_in_by_it(helper: User, phone: Device) -> None:
    client = browser()
    assert "Sign in with a passkey" in text(client.get("/sign-in/"))
    answer = show(client, phone, next="/shelf/")
    assert answer["Location"] == "/shelf/"
    assert client.get("/").context["user"] == helper
    page = text(client.get(reverse("own_passkeys")))
    assert "Phone" in page
    assert "not yet" not in page


def test_the_button_shows_where_somebody_has_one_made_at_this_address(phone: Device) -> None:
    assert "Sign in with a passkey" not in text(browser("localhost").get("/sign-in/"))
    Passkey.objects.all().delete()
    assert "Sign in with a passkey" not in text(browser().get("/sign-in/"))


def test_later_the_password_is_asked_and_wrong_ones_count(helper: User, monkeypatch: pytest.MonkeyPatch) -> None:
    client, device = browser(), Device()
    come_in(client, helper)
    late(monkeypatch, proven.LATELY + timedelta(seconds=1))
    assert "Your password" in text(client.get(reverse("own_passkeys")))
    assert add(client, device).status_code == 200
    assert "This is not your password." in text(add(client, device, old="wrong"))
    assert not Passkey.objects.exists()
    assert add(client, device, old=PASSWORD).status_code == 302
    assert Passkey.objects.get().person == helper
    late(monkeypatch, proven.LATELY + timedelta(seconds=1))
    answers = [add(client, device, old=f"wrong {number}").status_code for number in range(6)]
    assert answers[4:] == [429, 429]
    assert "wrong" not in "".join(row.post_data for row in AccessAttempt.objects.all())


def test_the_second_half_stands_open_no_longer_than_it_is_known_who_sits_there(
    helper: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = browser()
    assert signed_in(helper).get(reverse("passkey_new"))["Location"] == reverse("own_passkeys")
    come_in(client, helper)
    client.post(reverse("own_passkeys"), {**POSTED, **HERE})
    options = asked(client.get(reverse("passkey_new")))
    late(monkeypatch, proven.LATELY + timedelta(seconds=1))
    answer = client.post(reverse("passkey_new"), {**POSTED, "answer": Device().make(options)})
    assert answer["Location"] == reverse("own_passkeys")
    assert not Passkey.objects.exists()


@pytest.mark.parametrize("way", ["own link", "code"])
def test_a_sign_in_that_proves_nothing_adds_none(way: str, helper: User) -> None:
    """Whoever finds a device signed in makes a code on it, and must not make a key of their own by it."""
    owner, client = people.owner(), browser()
    kind = Door.LINK if way == "own link" else Door.PHONE
    by_link(door.path(links.make(person=owner, door=kind, by=owner), kind), client)
    assert client.get("/").context["user"] == owner
    page = client.get(reverse("own_passkeys"))
    assert "set a password first, or sign in anew by a link" in text(page)
    assert 'name="name"' not in page.content.decode()
    assert "set a password first" in text(add(client, Device()))


def test_a_link_that_another_gave_adds_one(helper: User) -> None:
    client, other = browser(), factories.person("helper")
    by_link(door.path(links.make(person=other, door=Door.LINK)), client)
    assert add(client, Device()).status_code == 302
    assert Passkey.objects.get().person == other


def test_a_passkey_proves_who_sits_there(helper: User, phone: Device, monkeypatch: pytest.MonkeyPatch) -> None:
    late(monkeypatch, timedelta(days=1))
    client = browser()
    show(client, phone)
    assert add(client, Device()).status_code == 302
    assert Passkey.objects.count() == 2


def test_an_answer_opens_once(phone: Device) -> None:
    client = browser()
    answer = phone.show(challenge(client))
    assert client.post(reverse("passkey_sign_in"), {"answer": answer})["Location"] == "/"
    client.post(reverse("sign_out"))
    for _ in range(2):
        assert client.post(reverse("passkey_sign_in"), {"answer": answer})["Location"] == "/sign-in/"
    assert client.get("/").status_code == 302


def test_an_answer_opens_in_no_other_browser(phone: Device) -> None:
    client, other = browser(), browser()
    answer = phone.show(challenge(client))
    challenge(other)
    assert other.post(reverse("passkey_sign_in"), {"answer": answer})["Location"] == "/sign-in/"
    assert client.post(reverse("passkey_sign_in"), {"answer": answer})["Location"] == "/"


def test_an_answer_opens_within_five_minutes(phone: Device, monkeypatch: pytest.MonkeyPatch) -> None:
    client = browser()
    answer = phone.show(challenge(client))
    late(monkeypatch, challenges.LIVES)
    refused = client.post(reverse("passkey_sign_in"), {"answer": answer}, follow=True)
    assert "No passkey opened." in text(refused)


def test_a_challenge_to_add_signs_nobody_in_and_one_to_sign_in_adds_none(helper: User, phone: Device) -> None:
    client = browser()
    come_in(client, helper)
    client.post(reverse("own_passkeys"), {**POSTED, **HERE})
    options = asked(client.get(reverse("passkey_new")))
    other = browser()
    other.cookies = client.cookies
    assert other.post(reverse("passkey_sign_in"), {"answer": phone.show(options)})["Location"] == "/sign-in/"
    swapped = {**options, "challenge": challenge(client)["challenge"]}
    answer = client.post(reverse("passkey_new"), {**POSTED, "answer": Device().make(swapped)})
    assert "proves nothing here" in text(answer)
    assert Passkey.objects.count() == 1


def test_all_that_opens_nothing_is_answered_alike_and_counts_as_wrong_passwords_do(helper: User, phone: Device) -> None:
    phone.origin = "https://evil.example"
    shut = [show(browser(), phone).status_code for _ in range(5)]
    assert shut == [302, 302, 302, 302, 429]
    phone.origin = "https://books.example"
    assert show(browser(), phone).status_code == 429
    assert browser().post("/sign-in/", {"username": helper.username, "password": PASSWORD}).status_code == 429
    stranger = Device()
    stranger.keys["unknown"] = next(iter(phone.keys.values()))
    assert [show(browser(), stranger).status_code for _ in range(2)] == [302, 302]
    assert browser().post(reverse("passkey_sign_in"), {"answer": "{"}).status_code == 302
    assert "signature" not in "".join(row.post_data for row in AccessAttempt.objects.all())


def test_wrong_passwords_shut_the_passkey_too(helper: User, phone: Device) -> None:
    for number in range(5):
        browser().post("/sign-in/", {"username": helper.username, "password": f"wrong {number}"})
    assert show(browser(), phone).status_code == 429


def test_who_is_shut_out_or_has_no_role_is_not_let_in(helper: User, phone: Device) -> None:
    helper.groups.clear()
    assert show(browser(), phone)["Location"] == "/sign-in/"
    people.change_role(person=helper, role="helper")
    assert show(browser(), phone)["Location"] == "/"
    people.shut_out(person=helper)
    assert show(browser(), phone)["Location"] == "/sign-in/"


def test_a_sign_in_never_leads_off_the_workshop(phone: Device) -> None:
    assert show(browser(), phone, next="https://evil.example/")["Location"] == "/"


def test_a_stranger_s_session_is_kept_no_longer_than_the_challenge_and_cleared_away(
    phone: Device, monkeypatch: pytest.MonkeyPatch
) -> None:
    Session.objects.all().delete()
    for _ in range(3):
        challenge(browser())
    assert Session.objects.count() == 3
    late(monkeypatch, challenges.LIVES + timedelta(seconds=1))
    challenge(browser())
    assert Session.objects.count() == 1


@pytest.mark.parametrize("way", ["password", "link", "passkey"])
def test_a_sign_in_after_asking_for_a_passkey_lasts_as_any_other(helper: User, phone: Device, way: str) -> None:
    client = browser()
    challenge(client)
    assert client.cookies["sessionid"]["max-age"] == challenges.LIVES.total_seconds()
    if way == "password":
        come_in(client, helper)
    elif way == "link":
        by_link(door.path(links.make(person=helper, door=Door.LINK)), client)
    else:
        show(client, phone)
    assert client.get("/").context["user"] == helper
    assert client.session.get_expiry_age() == settings.SESSION_COOKIE_AGE
    assert client.cookies["sessionid"]["max-age"] == settings.SESSION_COOKIE_AGE


def test_a_page_of_another_site_gets_no_challenge_and_signs_nobody_in(phone: Device) -> None:
    strict = browser(enforce_csrf_checks=True)
    assert strict.post(reverse("passkey_options")).status_code == 403
    assert strict.post(reverse("passkey_sign_in"), {"answer": "{}"}).status_code == 403


@pytest.mark.parametrize(
    ("host", "scheme", "said"),
    [
        ("books.example", "http", "No browser makes a passkey over plain http"),
        ("192.168.1.20", "https", "No browser makes a passkey at an address of figures"),
        ("books.example", "https", ""),
        ("localhost:8000", "http", ""),
    ],
)
def test_where_no_browser_makes_one_the_page_says_so(helper: User, host: str, scheme: str, said: str) -> None:
    client = browser(host, scheme)
    come_in(client, helper)
    page = client.get(reverse("own_passkeys"))
    assert ('name="name"' in page.content.decode()) is (not said)
    assert said in text(page)
    posted = client.post(reverse("own_passkeys"), {**POSTED, **HERE})
    assert posted.status_code == (200 if said else 302)


@pytest.mark.parametrize(("believed", "opens"), [(True, True), (False, False)])
def test_https_is_what_a_proxy_says_that_is_believed(
    phone: Device, settings: Settings, believed: bool, opens: bool
) -> None:
    if not believed:
        settings.SECURE_PROXY_SSL_HEADER = None
    assert (show(browser(), phone)["Location"] == "/") is opens


def test_one_s_own_are_removed_and_nobody_else_s(helper: User, phone: Device) -> None:
    kept = Passkey.objects.get()
    address = reverse("passkey_remove", args=[kept.pk])
    assert signed_in(people.owner()).get(address).status_code == 404
    assert signed_in(people.owner()).post(address, POSTED).status_code == 404
    client = signed_in(helper)
    assert "Remove the passkey “Phone”?" in text(client.get(address))
    assert client.post(address, POSTED)["Location"] == reverse("own_passkeys")
    assert not Passkey.objects.exists()
    assert show(browser(), phone)["Location"] == "/sign-in/"


def test_the_owner_removes_those_of_a_person_in_people(helper: User, phone: Device) -> None:
    address = reverse("person_passkeys", args=[helper.pk])
    owner = signed_in(people.owner())
    assert address in owner.get(reverse("setup")).content.decode()
    assert reverse("person_passkeys", args=[people.owner().pk]) not in owner.get(reverse("setup")).content.decode()
    assert "at once: Phone." in text(owner.get(address))
    assert signed_in(factories.person("bookkeeper")).post(address, POSTED).status_code == 403
    assert Passkey.objects.exists()
    assert owner.post(address, POSTED)["Location"] == reverse("setup")
    assert not Passkey.objects.exists()


def test_a_name_is_asked_and_kept_as_it_is(helper: User) -> None:
    client = browser()
    come_in(client, helper)
    assert "This field is required" in text(add(client, Device(), name="  "))
    assert "control character" in text(add(client, Device(), name="a\x0bb"))
    assert add(client, Device(), name="<b>Äiti's</b> {self}").status_code == 302
    assert "&lt;b&gt;Äiti" in client.get(reverse("own_passkeys")).content.decode()
    assert client.get(reverse("passkey_remove", args=[Passkey.objects.get().pk])).status_code == 200


def test_another_password_says_that_passkeys_still_open(helper: User, phone: Device) -> None:
    client = browser()
    come_in(client, helper)
    sent = {**POSTED, "old": PASSWORD, "password": "eight quiet alder trees"}
    page = client.post(reverse("own_password"), sent, follow=True)
    assert "Your passkeys still open: remove those that you do not know." in text(page)
    assert show(browser(), phone)["Location"] == "/"
