"""How the page tests of the ground floor sign in, post and count queries."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import parse_qsl, urlsplit

from django.contrib.auth.models import User
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests import factories


def signed_in(user: User | None = None) -> Client:
    client = Client()
    client.force_login(user or factories.owner(), backend="django.contrib.auth.backends.ModelBackend")
    return client


def by_link(link: str, browser: Client | None = None) -> HttpResponse:
    """A link opened and its one button pressed; what the link's page answers, where it has no button."""
    browser, parts = browser or Client(), urlsplit(link)
    page = browser.get(f"{parts.path}?{parts.query}")
    return browser.post(parts.path, dict(parse_qsl(parts.query))) if page.status_code == 200 else page


BOXES = re.compile(
    r" ?(</?(?:table|thead|tbody|tfoot|tr|t[dh]|p|div|d[ltd]|section|header|h[1-3]|[ou]l|li|details|summary|fieldset|legend|s)"
    r"(?: [^>]*)?>) ?"
)


TOKENS = re.compile(r'(?<=")[0-9A-Za-z]{64}(?=")')


def text(answer: HttpResponse) -> str:
    """The page with hard spaces made plain, to look for words in it, and white space only where a reader sees any.

    Runs of it are drawn together, and beside the edge of a box, a cell or a paragraph there is none. The token of a
    form is left out: it is drawn by lot, and a word of two letters is now and then in it.
    """
    page = TOKENS.sub("", answer.content.decode()).replace("&#x27;", "'").replace("\u202f", " ").replace("\u00a0", " ")
    return BOXES.sub(r"\1", " ".join(page.split()))


def queries(client: Client, address: str) -> int:
    """How many queries a page takes, sessions and roles included, once everything that is read once is read."""
    client.get(address)
    with CaptureQueriesContext(connection) as seen:
        assert client.get(address).status_code == 200
    return len(seen)


def lines(*rows: dict[str, Any]) -> dict[str, Any]:
    """The fields of a set of rows as a browser would send them."""
    sent: dict[str, Any] = {"rows-TOTAL_FORMS": len(rows), "rows-INITIAL_FORMS": 0}
    for number, row in enumerate(rows):
        sent |= {f"rows-{number}-{name}": value for name, value in row.items()}
    return sent
