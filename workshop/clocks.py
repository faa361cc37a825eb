"""The clock of the machine that keeps the books, and that of the device an entry comes from: minutes apart, it is said.

An entry that a wrong clock keeps out goes on waiting on its device, for its moment will be believed when the clock is set.
"""

from collections.abc import Callable
from datetime import datetime

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from inventory.base.checks import CLOCK_APART
from inventory.web import offline

HEADER = "X-Clock"  # the device's moment of sending, which `kept.js` says with each entry
REFUSED = 422


class Clocks:
    """After the messages: what is said stands on the next page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        said = apart(request.headers.get(HEADER, ""), timezone.now()) if offline.asked(request) else ""
        if said and answer.status_code == REFUSED:
            return offline.waits(said)
        if said and answer.status_code < REFUSED:
            messages.warning(request, said)
        return answer


def apart(sent: str, now: datetime) -> str:
    """What is wrong with the clocks; nothing where they agree, or where the device did not say.

    >>> apart("2026-03-01T10:30:00Z", datetime.fromisoformat("2026-03-01T10:00:00+00:00"))[:55]
    'The clock of the machine that keeps the books is 30 min'
    """
    try:
        there = datetime.fromisoformat(sent)
        off = there - now
    except (ValueError, TypeError):
        return ""
    if abs(off) <= CLOCK_APART:
        return ""
    way = "behind" if off > CLOCK_APART else "ahead of"
    return (
        f"The clock of the machine that keeps the books is {_long(int(abs(off).total_seconds()))} {way} this device's. "
        "Set the one that is wrong: entries made without a signal keep the device's time."
    )


def _long(seconds: int) -> str:
    hours, minutes = seconds // 3600, (seconds + 30) // 60
    return f"{minutes} minutes" if hours < 2 else f"{hours} hours" if hours < 48 else f"{hours // 24} days"
