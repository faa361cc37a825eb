"""Whether who sits there has just proven who they are: by a password, a passkey, or a link that somebody else gave them.

A sign-in by a link for oneself, or by a phone's code, proves no more than the sign-in it was made in, so it is not noted here.
"""

from datetime import datetime, timedelta

from django.http import HttpRequest
from django.utils import timezone

LATELY = timedelta(minutes=10)
_AT = "proven_at"


def note(request: HttpRequest) -> None:
    """Kept with this sign-in alone: another device of the same person has its own."""
    request.session[_AT] = timezone.now().isoformat()


def lately(request: HttpRequest) -> bool:
    at = request.session.get(_AT)
    return at is not None and timezone.now() < datetime.fromisoformat(at) + LATELY
