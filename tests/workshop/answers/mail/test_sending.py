"""Mail as a server of this machine takes it: the digest whole, and each fault as one sentence that names what to set."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from email import message_from_bytes, policy
from io import StringIO
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult
from django.core.management import CommandError, call_command
from pytest_django import Settings

from inventory.errors import Refused
from workshop.answers.mail import sending

SMTP = "django.core.mail.backends.smtp.EmailBackend"


class Box:
    """Takes mail; refuses whoever is named `nobody`."""

    def __init__(self) -> None:
        self.taken: list[tuple[list[str], Any]] = []

    async def handle_RCPT(self, server: Any, session: Any, envelope: Any, address: str, options: Any) -> str:  # noqa: N802
        if address.startswith("nobody"):
            return "550 5.1.1 No such mailbox"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:  # noqa: N802
        self.taken.append((list(envelope.rcpt_tos), message_from_bytes(envelope.content, policy=policy.default)))
        return "250 OK"


@contextmanager
def serving(settings: Settings, **how: Any) -> Iterator[Box]:
    box = Box()
    server = Controller(box, hostname="127.0.0.1", port=free_port(), ready_timeout=30, **how)
    server.start()
    settings.EMAIL_BACKEND, settings.EMAIL_HOST, settings.EMAIL_PORT = SMTP, "127.0.0.1", server.port
    settings.MAIL_SECURITY, settings.EMAIL_USE_TLS, settings.EMAIL_USE_SSL = "none", False, False
    settings.DEFAULT_FROM_EMAIL, settings.MAIL_TO = "Shed <shed@example.com>", ["maker@example.com"]
    try:
        yield box
    finally:
        server.stop()


def free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return int(taken.getsockname()[1])


@pytest.fixture
def box(settings: Settings) -> Iterator[Box]:
    with serving(settings) as found:
        yield found


def said(*words: str) -> str:
    out = StringIO()
    call_command(*words, stdout=out)
    return out.getvalue()


@pytest.mark.slow
def test_the_digest_arrives_with_the_most_pressing_in_its_subject(demo: None, box: Box) -> None:
    assert said("restock", "--mail") == ("Sent “Potash alum: order one 2 kg pack today” to maker@example.com.\n")
    ((to, mail),) = box.taken
    assert to == ["maker@example.com"]
    assert mail["Subject"] == "Potash alum: order one 2 kg pack today"
    assert (mail["From"], mail["To"]) == ("Shed <shed@example.com>", "maker@example.com")
    assert mail["Auto-Submitted"] == "auto-generated"
    assert mail.get_content_type() == "text/plain"
    assert mail.get_content().replace("\r\n", "\n") == (
        "As of 31 Dec 2025:\n\n"
        "Potash alum: Order one 2 kg pack today. 0.56 kg left; B5 needs 1.92 kg, 1.36 kg short.\n\n"
        "Shopping list\n\n"
        "Utuharju Chemicals: order today\n"
        "- Potash alum: one 2 kg pack, 11.60 €\n"
        "Goods 11.60 €; what the supplier takes for carriage is not known.\n\n"
        "-- \nRoutamo Skins\n"
    )


def test_each_address_gets_a_mail_of_its_own(box: Box) -> None:
    assert sending.send("a", "b", ["one@example.com", "two@example.com", "one@example.com"]) == [
        "one@example.com",
        "two@example.com",
    ]
    assert [to for to, _ in box.taken] == [["one@example.com"], ["two@example.com"]]


def test_a_refused_address_holds_no_other_back_and_is_named(box: Box) -> None:
    with pytest.raises(Refused) as refusal:
        sending.send("a", "b", ["nobody@example.com", "two@example.com"])
    assert "refused nobody@example.com (550 5.1.1 No such mailbox)" in str(refusal.value)
    assert "It went to two@example.com." in str(refusal.value)
    assert [to for to, _ in box.taken] == [["two@example.com"]]


def wrong(server: Any, session: Any, envelope: Any, mechanism: str, data: Any) -> AuthResult:
    return AuthResult(success=False, handled=False)


def test_a_wrong_password_is_one_sentence_without_the_password(settings: Settings) -> None:
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "shed", "hush-hush"
    with (
        serving(settings, authenticator=wrong, auth_require_tls=False) as box,
        pytest.raises(
            Refused, match=r"refused the name shed with its password \(535 .*TAWERY_MAIL_PASSWORD"
        ) as refusal,
    ):
        sending.send("a", "b")
    assert "hush-hush" not in str(refusal.value)
    assert box.taken == []


def test_a_server_that_does_not_answer_is_named_with_what_to_check(box: Box, settings: Settings) -> None:
    settings.EMAIL_PORT = free_port()
    with pytest.raises(Refused, match=r"127\.0\.0\.1:\d+ cannot be reached .*TAWERY_MAIL_HOST and TAWERY_MAIL_PORT"):
        sending.send("a", "b")


def test_a_server_without_starttls_is_told(box: Box, settings: Settings) -> None:
    settings.MAIL_SECURITY, settings.EMAIL_USE_TLS = "starttls", True
    with pytest.raises(Refused, match="does not offer what TAWERY_MAIL_SECURITY=starttls"):
        sending.send("a", "b")


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"EMAIL_HOST": ""}, "Set TAWERY_MAIL_HOST"),
        ({"DEFAULT_FROM_EMAIL": ""}, "Set TAWERY_MAIL_FROM"),
        ({"DEFAULT_FROM_EMAIL": "shed"}, "in TAWERY_MAIL_FROM"),
        ({"DEFAULT_FROM_EMAIL": "a@example.com\nBcc: b@example.com"}, "in TAWERY_MAIL_FROM"),
        ({"MAIL_TO": []}, "or set TAWERY_MAIL_TO"),
        ({"MAIL_TO": ["maker@example.com\nBcc: b@example.com"]}, "as an address to send to"),
        ({"MAIL_TO": ["maker"]}, "'maker' cannot be used as an address"),
        ({"MAIL_SECURITY": "ssl3"}, "it can be starttls, tls, none"),
        ({"EMAIL_PORT": "smtp"}, "a number from 1 to 65535"),
        ({"EMAIL_HOST": "mail.example.com", "EMAIL_HOST_PASSWORD": "x"}, "would be readable on its way"),
    ],
)
def test_a_setting_that_cannot_be_is_refused_by_its_name(
    box: Box, settings: Settings, changed: dict[str, Any], says: str
) -> None:
    for name, value in changed.items():
        setattr(settings, name, value)
    with pytest.raises(Refused, match=says):
        sending.send("a", "b")
    assert box.taken == []


@pytest.mark.parametrize(
    ("name", "answer"), [("handle_MAIL", "550 5.7.1 Not you"), ("handle_DATA", "554 5.6.0 Not\r\nthis")]
)
def test_what_the_server_says_against_it_is_told(
    box: Box, name: str, answer: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Box, name, refusing(answer), raising=False)
    with pytest.raises(Refused, match=r"Not (you|this)") as refusal:
        sending.send("a", "b")
    assert "\n" not in str(refusal.value)


def refusing(answer: str) -> Callable[..., Any]:
    async def handle(*args: Any) -> str:
        await asyncio.sleep(0)
        return answer.replace("\r\n", " ")

    return handle


@pytest.mark.slow
def test_without_a_server_the_command_says_what_to_set(demo: None) -> None:
    with pytest.raises(CommandError, match="Set TAWERY_MAIL_HOST"):
        said("restock", "--mail")
