"""What no database can hold or search for is refused before any page reads it: one place for addresses, forms and cookies.

Owns the signs and lengths that are refused, not what a field may hold: that its form or service says, beside the field. Must
not read a file that was sent.
"""

import re
from collections.abc import Callable, Iterator

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render

from inventory.web import offline

# A database of the embedded kind looks for 50,000 bytes at most, and a sign takes up to four. No box of a form is half as long.
LONGEST = 10_000
LONGEST_NAME = 2_000  # a box for an answer is called by the cell it asks about
SHOWN = 40

# PostgreSQL holds no NUL, and half a character (a surrogate) can be written nowhere.
_NEVER = re.compile("[\x00\ud800-\udfff]")
# In an address nobody types the others either; in a form the field that holds one says so itself.
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")


class CleanHeaders:
    """Before the session is looked for: a cookie or header that no database could look up counts as not sent."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.COOKIES = {name: value for name, value in request.COOKIES.items() if not _CONTROL.search(value)}
        odd = [name for name, value in request.META.items() if name.startswith("HTTP_") and _NEVER.search(value)]
        for name in odd:
            del request.META[name]
        return self.get_response(request)


class Readable:
    """Before a view is called: everything in the address and the form can be read, or the page says what cannot."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, _view: object, _args: object, _options: object
    ) -> HttpResponseBase | None:
        refusal = next(refusals(request), None)
        if refusal is None:
            return None
        if offline.asked(request):
            return offline.refused([refusal])
        return render(request, "400.html", {"refusal": refusal}, status=400)


def refusals(request: HttpRequest) -> Iterator[str]:
    """What is wrong with the address, what it asks for, and what was typed, each in a sentence that says what to do."""
    if _CONTROL.search(request.path):
        yield "The address holds a sign that cannot be read. Open the page from the menu instead."
    if len(request.path) > LONGEST:
        yield "The address is longer than any that this program has. Open the page from the menu instead."
    for sent, unread in ((request.GET, _CONTROL), (request.POST, _NEVER)):
        for name, values in sent.lists():
            yield from _refusals(name, values, unread)


def _refusals(name: str, values: list[str], unread: re.Pattern[str]) -> Iterator[str]:
    if unread.search(name) or len(name) > LONGEST_NAME:
        yield "What was sent names an entry that no page has. Load the page again and enter it once more."
    called = f"“{name[:SHOWN]}”"
    for value in values:
        if unread.search(value):
            yield f"{called} holds a control character, which nothing can keep. Type it instead of pasting it, and send it again."
        if len(value) > LONGEST:
            yield f"{called} has {len(value):,} characters; {LONGEST:,} are the most. Go back, shorten it, and send it."
