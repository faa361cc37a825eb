"""Where a browser comes from is what the trusted proxy says, and nobody else; what is too large is turned away unread."""

from __future__ import annotations

import socket
from contextlib import closing
from pathlib import Path

import pytest
from axes.models import AccessAttempt
from django.core.management import CommandError, call_command
from django.test import Client, RequestFactory
from pytest_django import Settings

from inventory.base import pictures
from inventory.people import services as people
from tests.serving import serving
from workshop import middleware, proxy

PASSWORD = "seven quiet alder trees"


@pytest.mark.parametrize(
    ("trusted", "near", "said", "found"),
    [
        ("", "127.0.0.1", "192.0.2.9", "127.0.0.1"),
        ("127.0.0.1", "127.0.0.1", "192.0.2.9", "192.0.2.9"),
        ("127.0.0.1", "192.0.2.1", "192.0.2.9", "192.0.2.1"),
        ("127.0.0.1", "127.0.0.1", "203.0.113.5, 192.0.2.9", "192.0.2.9"),  # the first was said by whoever came
        ("127.0.0.1", "127.0.0.1", "192.0.2.9, forged", "127.0.0.1"),
        ("127.0.0.1", "127.0.0.1", "", "127.0.0.1"),
        ("127.0.0.1", "::ffff:127.0.0.1", "::ffff:192.0.2.9", "192.0.2.9"),
        ("::1", "::1", "[2001:db8::7]", "2001:db8::7"),
        ("shed", "127.0.0.1", "192.0.2.9", "127.0.0.1"),
        ("127.0.0.1", "unknown", "192.0.2.9", None),
        ("shed", "unknown", "192.0.2.9", None),
    ],
)
def test_only_the_trusted_proxy_says_where_a_browser_comes_from(
    rf: RequestFactory, settings: Settings, trusted: str, near: str, said: str, found: str | None
) -> None:
    settings.PROXY = trusted
    assert proxy.client_address(rf.get("/", REMOTE_ADDR=near, headers={"x-forwarded-for": said})) == found


@pytest.fixture
def known(db: None, settings: Settings) -> None:
    """The owner has a password; a quick hasher, since only the door is tried here."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    people.set_password(person=people.owner(), password=PASSWORD)


def knock(password: str, comes_from: str, name: str = "owner") -> int:
    sent = {"username": name, "password": password}
    return Client().post("/sign-in/", sent, headers={"x-forwarded-for": comes_from}).status_code


def test_behind_the_proxy_a_stranger_shuts_the_name_for_himself_alone(known: None, settings: Settings) -> None:
    settings.PROXY = "127.0.0.1"
    assert [knock("wrong", "203.0.113.5") for _ in range(5)][-1] == 429
    assert knock(PASSWORD, "203.0.113.5") == 429
    assert knock(PASSWORD, "192.0.2.9") == 302


def test_who_says_to_come_from_elsewhere_each_time_is_shut_out_all_the_same(known: None) -> None:
    assert [knock("wrong", f"203.0.113.{number}") for number in range(5)][-1] == 429
    assert knock(PASSWORD, "192.0.2.9") == 429


def test_who_is_shut_out_is_one_name_and_not_another(known: None, settings: Settings) -> None:
    settings.PROXY = "127.0.0.1"
    helper = people.add(name="Mia", role="helper")
    people.set_password(person=helper, password=PASSWORD)
    assert [knock("wrong", "192.0.2.9") for _ in range(5)][-1] == 429
    assert knock(PASSWORD, "192.0.2.9", "Mia") == 302


def test_the_log_of_failed_sign_ins_keeps_no_password(known: None) -> None:
    knock("a wrong secret", "192.0.2.9")
    row = AccessAttempt.objects.get()
    assert "a wrong secret" not in f"{row.post_data}{row.get_data}"


def test_a_proxy_that_is_no_address_is_refused_before_anything_is_made(settings: Settings, tmp_path: Path) -> None:
    settings.PROXY, settings.DATA_DIR = "shed", tmp_path / "data"
    with pytest.raises(CommandError, match=r"^TAWERY_PROXY is 'shed', which is no address\. Set it to "):
        call_command("open")
    assert not settings.DATA_DIR.exists()


@pytest.mark.parametrize(
    ("trusted", "tls", "told"),
    [
        ("", False, {}),
        ("", True, {"trusted_proxy": "127.0.0.1", "trusted_proxy_headers": {"x-forwarded-proto"}}),
        ("192.0.2.2", False, {"trusted_proxy": "192.0.2.2", "trusted_proxy_headers": {"x-forwarded-for"}}),
        (
            "192.0.2.2",
            True,
            {"trusted_proxy": "192.0.2.2", "trusted_proxy_headers": {"x-forwarded-proto", "x-forwarded-for"}},
        ),
    ],
)
def test_the_server_believes_what_was_set(settings: Settings, trusted: str, tls: bool, told: dict[str, object]) -> None:
    settings.PROXY, settings.SECURE_SSL_REDIRECT = trusted, tls
    assert proxy.options() == {"max_request_body_size": proxy.MOST_SENT, **told}
    assert ("TAWERY_PROXY" in proxy.hint()) is (tls and not trusted)


class Unread:
    """A body that must not be read."""

    def read(self, *_: object) -> bytes:
        raise AssertionError("the body was read")

    readline = read


def send(client: Client, length: int, kind: str = "application/x-www-form-urlencoded", **headers: str) -> object:
    unread = {"wsgi.input": Unread(), "CONTENT_LENGTH": str(length), "CONTENT_TYPE": kind}
    return client.generic("POST", "/sign-in/", headers=headers or None, **unread)


FILE = "multipart/form-data; boundary=x"
PLAIN = "application/x-www-form-urlencoded"


@pytest.mark.parametrize("kind", [PLAIN, FILE, "text/plain"])
def test_a_stranger_s_hundred_megabytes_are_refused_unread(db: None, kind: str) -> None:
    answer = send(Client(), 100 * pictures.MEGABYTE, kind)
    assert answer.status_code == 413
    assert "This page sent 100 MB and takes at most 64 kB." in answer.content.decode()


@pytest.mark.parametrize(("kind", "most"), [(PLAIN, 5), (FILE, 60)])
def test_who_is_signed_in_may_send_photos_and_no_more(client: Client, kind: str, most: int) -> None:
    answer = send(client, most * pictures.MEGABYTE + 1, kind)
    assert answer.status_code == 413
    assert f"takes at most {most} MB" in answer.content.decode()
    with pytest.raises(AssertionError, match="the body was read"):
        send(client, most * pictures.MEGABYTE, kind)


def test_an_entry_that_is_too_large_is_told_in_few_words_and_waits_for_the_sign_in(client: Client) -> None:
    large = 61 * pictures.MEGABYTE
    told = send(client, large, FILE, x_kept="1")
    assert (told.status_code, told.json()["state"]) == (413, "refused")
    assert (send(Client(), large, FILE, x_kept="1").json()) == {"state": "signed_out"}


@pytest.mark.parametrize("said", ["", "-1", "many", "9" * 5000])
def test_a_length_that_is_none_is_no_fault(rf: RequestFactory, said: str) -> None:
    assert middleware._length(rf.get("/", CONTENT_LENGTH=said)) <= 0


@pytest.mark.slow
@pytest.mark.thorough
def test_the_served_workshop_answers_before_a_hundred_megabytes_are_sent(tmp_path: Path, type_is_cut: None) -> None:
    head = f"POST /sign-in/ HTTP/1.1\r\nHost: localhost\r\nContent-Length: {100 * pictures.MEGABYTE}\r\n\r\n"
    with (
        serving(tmp_path / "data", "--empty") as (port, _),
        closing(socket.create_connection(("127.0.0.1", port), timeout=10)) as caller,
    ):
        caller.sendall(head.encode())
        assert caller.recv(100).startswith(b"HTTP/1.1 413 ")
