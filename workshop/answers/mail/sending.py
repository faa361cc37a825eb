"""Sending a plain text by the maker's own mail server, as the settings name it; each fault in one sentence that says what to do.

Owns the settings of mail and the server's refusals. Each address gets a mail of its own: none sees the others, and one that is
refused holds none of the others back.
"""

import smtplib
import ssl
from collections.abc import Sequence
from email.utils import parseaddr
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage, get_connection
from django.core.validators import validate_email

from inventory.errors import Refused

HERE = ("localhost", "127.0.0.1", "::1")
WHERE = "docs/reference/settings.md names what your mail provider tells you."
LONGEST_SAID = 120


def send(subject: str, body: str, addresses: Sequence[str] = ()) -> list[str]:
    """Send to each of the addresses, or those of TAWERY_MAIL_TO; answers to whom it went."""
    to = list(dict.fromkeys(addresses or settings.MAIL_TO))
    sender = _sender()
    _refuse_unset(to)
    refused: list[str] = []
    connection = _connection()
    try:
        connection.open()
        for address in to:
            mail = EmailMessage(
                subject, body, sender, [address], connection=connection, headers={"Auto-Submitted": "auto-generated"}
            )
            try:
                mail.send()
            except smtplib.SMTPRecipientsRefused as fault:
                refused.append(f"{address} ({_said(*fault.recipients[address])})")
    except smtplib.SMTPAuthenticationError as fault:
        raise Refused(
            f"{_server()} refused the name {settings.EMAIL_HOST_USER} with its password ({_said(*fault.args)}). Check "
            "TAWERY_MAIL_USER and TAWERY_MAIL_PASSWORD; many providers want a password made for this program alone."
        ) from None
    except smtplib.SMTPSenderRefused as fault:
        raise Refused(
            f"{_server()} refused mail from {sender} ({_said(fault.smtp_code, fault.smtp_error)}). Set TAWERY_MAIL_FROM "
            "to an address of your own there."
        ) from None
    except smtplib.SMTPResponseException as fault:
        raise Refused(f"{_server()} did not take the mail: {_said(fault.smtp_code, fault.smtp_error)}.") from None
    except smtplib.SMTPNotSupportedError:
        raise Refused(
            f"{_server()} does not offer what TAWERY_MAIL_SECURITY={settings.MAIL_SECURITY} with a password needs. Try "
            "another of starttls, tls, none, with the port your provider names."
        ) from None
    except ssl.SSLError as fault:
        raise Refused(
            f"No safe connection to {_server()} ({fault.reason or fault}). Check TAWERY_MAIL_SECURITY and TAWERY_MAIL_PORT."
        ) from None
    except (OSError, smtplib.SMTPException) as fault:
        why = getattr(fault, "strerror", None) or str(fault) or "no answer"
        raise Refused(
            f"{_server()} cannot be reached ({why}). Check TAWERY_MAIL_HOST and TAWERY_MAIL_PORT, and the network."
        ) from None
    finally:
        _close(connection)
    if refused:
        sent = [address for address in to if not any(each.startswith(f"{address} (") for each in refused)]
        others = f" It went to {', '.join(sent)}." if sent else ""
        raise Refused(f"{_server()} refused {', '.join(refused)}. Check the address.{others}")
    return to


def _refuse_unset(to: Sequence[str]) -> None:
    if not to:
        raise Refused("Nobody is named to send it to. Name an address after --mail, or set TAWERY_MAIL_TO.")
    for address in to:
        _address(address, "as an address to send to")


def _sender() -> str:
    if not settings.EMAIL_HOST:
        raise Refused(f"No mail server is set, so nothing can be sent. Set TAWERY_MAIL_HOST; {WHERE}")
    sender: str = settings.DEFAULT_FROM_EMAIL
    if not sender:
        raise Refused("Nobody is named as the sender. Set TAWERY_MAIL_FROM to an address of your own.")
    _address(parseaddr(sender)[1] if _one_line(sender) else sender, "in TAWERY_MAIL_FROM")
    return sender


def _one_line(text: str) -> bool:
    return text.isprintable()


def _address(address: str, where: str) -> None:
    """Also what would begin a header of its own is refused here: no address holds a line end."""
    try:
        validate_email(address)
    except ValidationError:
        raise Refused(f"{address!r} cannot be used {where}: it is no mail address such as name@example.com.") from None


def _connection() -> Any:
    security, port = settings.MAIL_SECURITY, str(settings.EMAIL_PORT)
    if security not in settings.MAIL_PORTS:
        raise Refused(f"TAWERY_MAIL_SECURITY is {security!r}; it can be {', '.join(settings.MAIL_PORTS)}.")
    if not (port.isascii() and port.isdigit() and 0 < int(port) < 65536):
        raise Refused(f"TAWERY_MAIL_PORT is {port!r}; a port is a number from 1 to 65535, often 587.")
    if security == "none" and settings.EMAIL_HOST_PASSWORD and settings.EMAIL_HOST not in HERE:
        raise Refused(
            "TAWERY_MAIL_SECURITY is none, and the password would be readable on its way. Use starttls or tls; none is for a "
            "server on this machine."
        )
    return get_connection(port=int(port))


def _close(connection: Any) -> None:
    try:
        connection.close()
    except (OSError, smtplib.SMTPException):
        return


def _server() -> str:
    return f"The mail server {settings.EMAIL_HOST}:{settings.EMAIL_PORT}"


def _said(code: int, words: bytes | str) -> str:
    """A server's answer on one line."""
    text = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    return f"{code} {' '.join(text.split())}"[:LONGEST_SAID]
