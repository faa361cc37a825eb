"""A full disk, a busy or shut database: 503 with the true reason, and an entry on a device keeps waiting."""

from __future__ import annotations

import errno
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.db import OperationalError, connection
from django.test import Client, RequestFactory

from tests.inventory.pages import signed_in, text
from workshop import faults

pytestmark = [pytest.mark.usefixtures("demo", "type_is_cut")]


def raised_by_sqlite(tmp_path: Path, how: str) -> sqlite3.Error:
    """The fault as the database itself raises it."""
    file = tmp_path / "books.sqlite3"
    with closing(sqlite3.connect(file, timeout=0)) as one:
        one.executescript("PRAGMA page_size=512; CREATE TABLE a (b); INSERT INTO a VALUES (1);")
        if how == "busy":
            one.execute("BEGIN IMMEDIATE")
        if how == "full":
            one.execute("PRAGMA max_page_count=2")
        if how == "damaged":
            file.write_bytes(b"no database at all" * 100)
        address = {"read-only": f"file:{file}?mode=ro", "shut": f"file:{tmp_path}/none/x?mode=rw"}.get(
            how, f"file:{file}"
        )
        try:
            with closing(sqlite3.connect(address, uri=True, timeout=0)) as two:
                (one if how == "full" else two).execute("INSERT INTO a VALUES (zeroblob(9000))")
        except sqlite3.Error as fault:
            return fault
    raise AssertionError(f"{how} raised nothing")


SAID = {
    "busy": "The books are busy",
    "full": "The disk is full",
    "read-only": "The books may only be read",
    "shut": "The books cannot be opened",
    "damaged": "The database is damaged",
}


@pytest.mark.parametrize("how", SAID)
def test_each_fault_of_the_database_is_called_by_its_reason(how: str, tmp_path: Path) -> None:
    found = faults.of(raised_by_sqlite(tmp_path, how))
    assert found is not None
    assert found.why == SAID[how]


@pytest.mark.parametrize(
    ("number", "why"),
    [
        (errno.ENOSPC, "The disk is full"),
        (errno.EDQUOT, "The disk is full"),
        (errno.EROFS, "The books may only be read"),
        (errno.EACCES, "The books may only be read"),
        (errno.EIO, "The disk has a fault"),
    ],
)
def test_a_file_that_cannot_be_written_says_why(number: int, why: str) -> None:
    found = faults.of(OSError(number, "x"))
    assert found is not None
    assert found.why == why


class PostgresError(Exception):
    def __init__(self, sqlstate: str | None) -> None:
        super().__init__()
        self.sqlstate = sqlstate


@pytest.mark.parametrize(
    ("state", "why"),
    [
        ("53100", "The disk is full"),
        ("55P03", "The books are busy"),
        ("40P01", "The books are busy"),
        ("53300", "The books are busy"),
        ("25006", "The books may only be read"),
        ("57P01", "The books cannot be opened"),
        ("08006", "The books cannot be opened"),
        (None, "The books cannot be opened"),
        ("42601", None),
        ("22021", None),
    ],
)
def test_each_fault_of_postgresql_is_called_by_its_reason(state: str | None, why: str | None) -> None:
    fault = OperationalError()
    fault.__cause__ = PostgresError(state)
    found = faults.of(fault)
    assert (found and found.why) == why


@pytest.mark.skipif("connection.vendor != 'postgresql'", reason="asks PostgreSQL itself")
def test_postgresql_itself_answers_so() -> None:
    with pytest.raises(OperationalError) as found, connection.cursor() as cursor:
        cursor.execute("SET LOCAL statement_timeout = 0; DO $$ BEGIN RAISE EXCEPTION USING ERRCODE = '53100'; END $$")
    assert faults.of(found.value) == faults.FULL


def test_a_fault_of_the_program_stays_one(tmp_path: Path) -> None:
    assert faults.of(ValueError()) is None
    assert faults.of(OperationalError("no such column")) is None
    assert faults.of(FileNotFoundError(errno.ENOENT, "x")) is None
    assert faults.of(None) is None
    with closing(sqlite3.connect(tmp_path / "a")) as one, pytest.raises(sqlite3.OperationalError) as found:
        one.execute("SELECT nothing FROM nowhere")
    assert faults.of(found.value) is None


def broken(*_: object, **__: object) -> None:
    raise OperationalError from sqlite_full()


def sqlite_full() -> sqlite3.OperationalError:
    fault = sqlite3.OperationalError("database or disk is full")
    fault.sqlite_errorcode = sqlite3.SQLITE_FULL
    return fault


def test_a_full_disk_is_a_page_that_says_so_and_when_to_try_again(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("inventory.foresight.snoozes.selectors.alerts", broken)
    answer = client.get("/")
    assert answer.status_code == 503
    assert answer["Retry-After"] == "60"
    page = text(answer)
    assert "<h1>Not now: the disk is full</h1>" in page
    assert "Free some room on the machine that keeps the books" in page
    assert "What was not confirmed is not in the books" in page


def test_an_entry_on_a_device_goes_on_waiting_with_the_reason(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("inventory.skins.services.take_in", broken)
    sent = {"species": "Sheep", "tag": "X1", "date_in": "2025-12-30", "owner": "mine", "request_key": "k1"}
    answer = client.post("/skins/new/", sent, headers={"X-Kept": "waited"})
    assert answer.status_code == 503
    assert answer["Retry-After"] == "60"
    assert answer.json()["state"] == "waiting"
    assert answer.json()["why"].startswith("The disk is full. Free some room")


def test_a_photo_for_which_there_is_no_room_says_so(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_room(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("inventory.foresight.snoozes.selectors.alerts", no_room)
    assert "the disk is full" in text(client.get("/"))


def test_what_fails_outside_a_view_is_told_as_well(owner: User, monkeypatch: pytest.MonkeyPatch) -> None:
    """The session is kept after the view has answered: on a full disk that fails, and no view has raised it."""
    browser = signed_in(owner)
    browser.raise_request_exception = False
    monkeypatch.setattr("django.contrib.sessions.backends.db.SessionStore.load", broken)
    answer = browser.get("/skins/")
    assert answer.status_code == 503
    assert "the disk is full" in text(answer)


def test_the_page_asks_the_database_nothing(rf: RequestFactory, django_assert_num_queries: object) -> None:
    with django_assert_num_queries(0):  # type: ignore[operator]
        answer = faults.told(rf.get("/"), faults.BUSY, OSError())
    assert answer["Retry-After"] == "5"
    assert "Wait a moment" in answer.content.decode()
