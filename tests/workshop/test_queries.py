"""How often each page of the demonstration asks the database: at most thirty times, the results of a year at most ninety times."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.workshop.test_security import NAMES, address, patterns

pytestmark = [pytest.mark.usefixtures("demo", "type_is_cut", "aside"), pytest.mark.slow]

MOST, OF_RESULTS = 30, 90
FILES = (".pdf", ".csv", ".xlsx", ".xml", ".ics", ".jpg", ".zip")
APART = {"check_books", "sign_out"}  # works everything out anew; ends the session


def pages() -> list[str]:
    """Every address, and of batches, skins, pieces and papers some to which more happened than to the one in its address."""
    routes = {each.name: str(each.pattern).replace("\\", "") for each in patterns()}
    plain = [name for name in NAMES if name not in APART and not any(end in routes[name] for end in FILES)]
    return [
        *(address(name) for name in plain if "ending" not in routes[name]),
        *(f"/batches/{number}/" for number in ("B1", "B2", "B3", "B4")),
        *(f"/skins/{tag}/" for tag in ("H01", "H05", "H08", "H09")),
        *(f"/sales/{number}/" for number in ("INV-001", "INV-003", "CN-001", "S-003")),
        "/articles/H08-1/",
    ]


def asked(client: Client, page: str) -> int:
    with CaptureQueriesContext(connection) as seen:
        answer = client.get(page)
    return len(seen) if answer.status_code == 200 and answer["Content-Type"].startswith("text/html") else 0


def most(page: str) -> int:
    return OF_RESULTS if page.startswith("/books/results/") else MOST


def test_no_page_asks_the_database_more_often_than_it_may(client: Client) -> None:
    client.get("/")  # what a first visit alone asks
    counts = {page: asked(client, page) for page in pages()}
    assert sum(count > 0 for count in counts.values()) > 100
    worst = sorted(((count, page) for page, count in counts.items() if count > most(page)), reverse=True)
    assert not worst, "\n".join(f"{page}: {count} queries, {most(page)} at most" for count, page in worst)
