"""No client takes all hands: who waits for long pages already is asked to come again in a moment, and so is who asks for a
large one while others are worked out.

Owns the two limits of one process. Quick requests are never counted, however many a page sends at once.
"""

import time
from collections.abc import Callable
from threading import BoundedSemaphore

from django.http import HttpRequest, HttpResponse, HttpResponseBase

from workshop import faults, proxy
from workshop.faults import Fault

# Of the eight hands of a process; see `workshop.management.serving`.
LARGE = 3
OF_ONE = 4
LONG = 1  # seconds from which on a request counts
ROOMS = ("workshop.reports", "workshop.setup.bring", "costing.report")

AGAIN = "Wait a moment: this page asks again by itself."
MANY = Fault("Other large pages are being worked out", AGAIN, faults.SOON)
WAITING = Fault("Other pages that you asked for are being worked out", AGAIN, faults.SOON)


class Turns:
    """Before anything of a request is read."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response
        self.begun: dict[int, tuple[str, float]] = {}  # of each request: whose it is, and when it began
        self.large = BoundedSemaphore(LARGE)
        self.taken: set[int] = set()

    def __call__(self, request: HttpRequest) -> HttpResponse:
        client, now = proxy.one_client(request), time.monotonic()
        long = [whose for whose, began in list(self.begun.values()) if now - began > LONG]
        if client and long.count(client) >= OF_ONE:
            return later(request, WAITING)
        self.begun[id(request)] = (client, now)
        try:
            return self.get_response(request)
        finally:
            del self.begun[id(request)]
            if id(request) in self.taken:
                self.taken.discard(id(request))
                self.large.release()

    def process_view(
        self, request: HttpRequest, view: Callable[..., object], _args: object, _options: object
    ) -> HttpResponseBase | None:
        if not view.__module__.startswith(ROOMS):
            return None
        if not self.large.acquire(blocking=False):
            return later(request, MANY)
        self.taken.add(id(request))
        return None


def later(request: HttpRequest, fault: Fault) -> HttpResponse:
    answer = faults.page(request, fault)
    if request.method == "GET":
        answer["Refresh"] = str(fault.after)
    return answer
