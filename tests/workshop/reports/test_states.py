"""A year of results by how it stands: over, running, ahead, without entries, at the ends of the calendar."""

from __future__ import annotations

import json
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from inventory.base.accounting import services as workshop
from tests import factories
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db


def asked(*words: str) -> str:
    out = StringIO()
    call_command("results", *words, stdout=out)
    return out.getvalue()


@pytest.fixture
def client() -> Client:
    factories.skin("H01", date_in=date(2024, 5, 2))
    factories.skin("H02", date_in=date(2025, 5, 2))
    workshop.pin_today(on=date(2025, 12, 31))
    return signed_in()


def test_on_its_last_day_a_year_is_told_as_over_and_leads_no_further(client: Client) -> None:
    page = text(client.get("/books/results/2025/"))
    assert "still runs" not in page
    assert 'href="/books/results/2024/"' in page
    assert 'href="/books/results/2026/"' not in page
    assert "still runs" not in asked("2025")
    assert json.loads(asked("2025", "--json"))["state"] == "over"


def test_a_running_year_says_so(client: Client) -> None:
    workshop.pin_today(on=date(2025, 12, 30))
    assert "The year still runs" in text(client.get("/books/results/2025/"))
    assert asked("2025").startswith("2025 still runs; this is what is entered of it.\n")
    assert json.loads(asked("2025", "--json"))["state"] == "running"


@pytest.mark.thorough
def test_a_year_ahead_keeps_the_stock_and_tells_of_no_waiting(client: Client) -> None:
    page = text(client.get("/books/results/2030/"))
    assert "The year has not begun. Nothing is entered in 2030. What is there came from before." in page
    assert 'href="/books/results/2025/"' in page
    found = json.loads(asked("2030", "--json"))
    assert (found["state"], found["written"], found["waiting"], found["unlogged"]) == ("ahead", False, [], [])
    assert found["stock"]["closing"] == "24.00"
    assert asked("2030").startswith("2030 has not begun.\nNothing is entered in 2030.\n2030: turnover 0.00")


@pytest.mark.thorough
def test_a_year_before_the_first_entry_shows_no_row_of_noughts(client: Client) -> None:
    page = text(client.get("/books/results/1999/"))
    assert "Nothing is entered in 1999." in page
    assert "The two profits" not in page
    assert 'href="/books/results/2024/"' in page
    assert "1999.pdf" not in page
    assert asked("1999") == "Nothing is entered in 1999.\n"


@pytest.mark.thorough
def test_an_empty_workshop_says_what_a_year_is_told_from() -> None:
    workshop.pin_today(on=date(2025, 6, 1))
    page = text(signed_in().get("/books/results/2025/"))
    assert "Nothing is entered in 2025." in page
    assert "There are none yet." in page


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("number", ["2", "0002", "9999"])
def test_the_ends_of_the_calendar_answer(client: Client, number: str) -> None:
    for path in (f"{number}/", f"{number}/waiting/", f"{number}/fairs.csv", f"{number}.xlsx"):
        assert client.get(f"/books/results/{path}").status_code == 200
    assert f"Nothing is entered in {int(number)}." in asked(number.zfill(4))


@pytest.mark.parametrize("number", ["0", "1", "10000"])
def test_what_is_no_year_is_refused_in_words(client: Client, number: str) -> None:
    assert "is not a year" in text(client.get(f"/books/results/{number}/", follow=True))


@pytest.mark.parametrize("year", ["1", "25", "0000", "0001", "20255", "²025", "-2025", "two"])
def test_the_command_refuses_what_is_no_year_and_writes_nothing(tmp_path: Path, year: str) -> None:
    paper = tmp_path / "y.pdf"
    with pytest.raises(CommandError, match=r"is not a year|expected|arguments"):
        asked("--pdf", str(paper), "--", year)
    assert not paper.exists()
