"""One check of the books at a time: who comes meanwhile is shown the last result and its age, and nobody waits."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path
from threading import Event, Thread

import pytest
from django.db import connections
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tests.inventory.pages import text
from workshop.reports import checking, followed

pytestmark = pytest.mark.usefixtures("demo", "aside")


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every run of the check; what it finds says which run it was."""
    made: list[str] = []

    def findings(after: int) -> list[str]:
        made.append(f"run {len(made) + 1}")
        return made[-1:]

    monkeypatch.setattr(followed.audit, "findings", findings)
    monkeypatch.setattr(checking, "SHARE", 100)
    return made


def found_before(tmp_path: Path, age: timedelta, took: float) -> None:
    told = {"findings": ["found before"], "at": (timezone.now() - age).isoformat(), "took": took}
    (tmp_path / checking.FILE).write_text(json.dumps(told))


def test_a_long_check_is_not_made_again_for_the_next_who_opens_it(
    runs: list[str], client: Client, tmp_path: Path
) -> None:
    found_before(tmp_path, timedelta(minutes=12), took=90)
    said = text(client.get(reverse("check_books")))
    assert runs == []
    assert "found before" in said
    assert "Checked 12 minutes ago." in said
    client.post(reverse("check_books"))
    assert runs == ["run 1"]
    assert json.loads((tmp_path / checking.FILE).read_text())["findings"] == ["run 1"]


@pytest.mark.parametrize(("age", "took"), [(timedelta(hours=3), 90), (timedelta(minutes=1), 0.1), (timedelta(-1), 1e6)])
def test_an_old_result_or_one_of_tomorrow_is_not_shown(
    runs: list[str], client: Client, tmp_path: Path, age: timedelta, took: float
) -> None:
    found_before(tmp_path, age, took)
    assert "run 1" in text(client.get(reverse("check_books")))


@pytest.mark.parametrize("kept", ["", "{", "[]", '{"at": "x"}', '{"at": "2026-01-01", "findings": 1, "took": 1}'])
def test_a_file_that_cannot_be_read_is_worked_out_anew(
    runs: list[str], client: Client, tmp_path: Path, kept: str
) -> None:
    (tmp_path / checking.FILE).write_text(kept)
    assert "run 1" in text(client.get(reverse("check_books")))


def test_who_comes_while_it_runs_does_not_wait(client: Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begun, go = Event(), Event()

    def findings(after: int) -> list[str]:
        begun.set()
        assert go.wait(10)
        return ["a difference"]

    monkeypatch.setattr(followed.audit, "findings", findings)

    def alone() -> None:
        try:
            checking.check()
        finally:
            connections.close_all()  # the thread's own

    first = Thread(target=alone)
    first.start()
    assert begun.wait(10)
    meanwhile = client.get(reverse("check_books"))
    assert "The books are being checked" in text(meanwhile)
    assert meanwhile["Refresh"] == "5"
    found_before(tmp_path, timedelta(hours=5), took=1)
    assert "Checked 5 hours ago; it is being checked anew just now." in text(client.get(reverse("check_books")))
    go.set()
    first.join()
    assert not begun.clear()
    assert "1 difference in the books" in text(client.get(reverse("check_books")))
