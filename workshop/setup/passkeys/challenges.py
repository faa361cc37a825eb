"""Challenges: drawn by lot, kept on the server with the session, answered once and within five minutes."""

import secrets
from datetime import datetime, timedelta
from enum import Enum
from typing import Any

from django.http import HttpRequest
from django.utils import timezone

from inventory.people.passkeys import ceremony

LIVES = timedelta(minutes=5)
BYTES = 32


class For(Enum):
    """What the answer does; that to one challenge does nothing else."""

    NEW = "passkey_new"
    SIGN_IN = "passkey_sign_in"


def draw(request: HttpRequest, what: For, **kept: str) -> bytes:
    """A new challenge; the one before it is good no more. `kept` is handed back with it."""
    challenge = secrets.token_bytes(BYTES)
    until = (timezone.now() + LIVES).isoformat()
    if not request.user.is_authenticated:
        # Nothing else is kept of a stranger; without this, whoever asks without end would fill the disk.
        request.session.clear_expired()
        request.session.set_expiry(int(LIVES.total_seconds()))
    request.session[what.value] = {**kept, "challenge": ceremony.words(challenge), "until": until}
    return challenge


def lasts(request: HttpRequest, **_: object) -> None:
    """Whoever has signed in, in whatever way, is no stranger: the session lasts as any other."""
    request.session.set_expiry(None)


def take(request: HttpRequest, what: For) -> dict[str, Any] | None:
    """The challenge that this session was given, as `challenge`, with what was kept beside it; it is gone after this."""
    found: dict[str, Any] | None = request.session.pop(what.value, None)
    if found is None or timezone.now() >= datetime.fromisoformat(found.pop("until")):
        return None
    return {**found, "challenge": ceremony.data(found["challenge"])}
