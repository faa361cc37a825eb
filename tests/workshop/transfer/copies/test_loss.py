"""A lost, damaged or newer database is no new one: `open` says so in one sentence with the way out, and makes nothing."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings as plain_settings
from django.core.management import CommandError, call_command
from django.db import connection
from pytest_django import Settings

from tests.workshop.transfer.copies.conftest import KEY, fill
from workshop import bootstrap as opening
from workshop.management.commands import open as command
from workshop.settings import kept_key
from workshop.transfer.copies import archive, databases, loss, services

sqlite_only = pytest.mark.skipif(connection.vendor != "sqlite", reason="a file may be lost or damaged")


@pytest.fixture
def lost(data: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder with all but its database, which is looked for in a file."""
    fill(data, "old")
    monkeypatch.setattr(databases, "file", lambda: data / archive.SQLITE)
    return data


def refused(says: str) -> str:
    with pytest.raises(CommandError, match=says) as refusal:
        call_command("open", "--no-serve", stdout=StringIO())
    assert "\n" not in str(refusal.value)
    return str(refusal.value)


@sqlite_only
@pytest.mark.django_db
def test_a_lost_database_is_refused_and_nothing_is_made(lost: Path) -> None:
    there = sorted(lost.rglob("*"))
    said = refused("holds a key, photos, bills and papers but no database with entries: it was lost")
    assert "No copy lies in" in said
    assert sorted(lost.rglob("*")) == there
    (lost / archive.SQLITE).touch()
    refused("no database with entries")
    assert not (lost / archive.SQLITE).stat().st_size


@sqlite_only
def test_the_last_copy_and_the_way_back_are_named(demo: None, data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fill(data, "old")
    file = services.make().file
    monkeypatch.setattr(databases, "file", lambda: data / archive.SQLITE)
    assert f"`manage.py restore {file}`" in refused("it was lost")


@sqlite_only
@pytest.mark.django_db
@pytest.mark.parametrize("held", [b"no database at all" * 400, b"SQLite format 3\0" + b"\xff" * 8000])
def test_a_damaged_database_is_refused_as_it_is(lost: Path, held: bytes) -> None:
    (lost / archive.SQLITE).write_bytes(held)
    refused(r"is damaged or cannot be read \(.+\)\. No copy lies in .*Nothing was changed\.")
    assert (lost / archive.SQLITE).read_bytes() == held


@pytest.mark.usefixtures("demo")
def test_a_newer_database_is_refused(data: Path) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('costing', '9999_later', '2030-01-01')"
        )
    refused(r"made by a newer version of the program \(costing 9999_later is not known here\)\. Install that version")


@pytest.mark.usefixtures("demo")
@pytest.mark.parametrize("held", [b"", b"\xff\xfe\x00", b"short", b"  \n", b"k" * 40 + b"\0" + b"k" * 9])
def test_an_empty_or_damaged_key_is_refused_with_the_way_out(data: Path, held: bytes) -> None:
    data.mkdir()
    (data / "secret.key").write_bytes(held)
    assert "delete the file" in refused("is empty, damaged or cannot be read")
    assert (data / "secret.key").read_bytes() == held
    assert kept_key(data / "secret.key") == ""


def test_a_good_key_is_taken(tmp_path: Path) -> None:
    (tmp_path / "key").write_text(KEY + "\n")
    assert kept_key(tmp_path / "key") == KEY
    assert kept_key(tmp_path / "none") == ""


@pytest.mark.thorough
@pytest.mark.slow
def test_a_damaged_key_is_no_traceback_for_any_command(tmp_path: Path) -> None:
    (tmp_path / "secret.key").write_bytes(b"\xff\xfe")
    manage = [sys.executable, str(plain_settings.BASE_DIR / "manage.py"), "due"]
    env = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    done = subprocess.run(
        manage, env={**env, "TAWERY_DATA": str(tmp_path)}, capture_output=True, text=True, check=False
    )
    assert (done.returncode, "Traceback" in done.stderr) == (1, False)


@sqlite_only
@pytest.mark.django_db
def test_a_first_opening_that_was_killed_goes_on(lost: Path) -> None:
    (lost / loss.FIRST).touch()
    loss.refuse(lost, empty=False)


CUT_SHORT = """
import os, sqlite3, sys
from contextlib import closing
from pathlib import Path
import django
django.setup()
from django.core.management import call_command
from django.db import connection
call_command("migrate", verbosity=0)
connection.close()
folder = Path(os.environ["TAWERY_DATA"])
with closing(sqlite3.connect(folder / "workshop.sqlite3")) as file, file:
    # The tables are made; the note that they are was still to be written.
    file.execute("DELETE FROM django_migrations WHERE app = 'costing'")
(folder / ".first-opening").touch(exist_ok=True)
"""


@sqlite_only
@pytest.mark.slow
def test_a_first_opening_that_was_killed_between_tables_and_their_note_begins_anew(tmp_path: Path) -> None:
    env = os.environ | {"TAWERY_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "workshop.settings"}
    subprocess.run([sys.executable, "-c", CUT_SHORT], env=env, cwd=plain_settings.BASE_DIR, check=True)
    again = [sys.executable, "manage.py", "open", "--no-serve", "--empty"]
    done = subprocess.run(again, env=env, cwd=plain_settings.BASE_DIR, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert not (tmp_path / loss.FIRST).exists()
    # Of an opened workshop nothing is taken away.
    with closing(sqlite3.connect(tmp_path / "workshop.sqlite3")) as file, file:
        file.execute("DELETE FROM django_migrations WHERE app = 'costing'")
    refused = subprocess.run(again, env=env, cwd=plain_settings.BASE_DIR, capture_output=True, text=True, check=False)
    assert "is damaged or cannot be read" in refused.stderr


@pytest.mark.django_db
def test_the_mark_of_a_first_opening_goes_with_it(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loss, "_tables", lambda: None)
    call_command("open", "--no-serve", "--empty", stdout=StringIO())
    assert (data / "secret.key").exists()
    assert not (data / loss.FIRST).exists()


class Terminal(StringIO):
    def isatty(self) -> bool:
        return True


def asked(monkeypatch: pytest.MonkeyPatch, answer: str, *, terminal: bool = True) -> bool:
    stream = Terminal if terminal else StringIO
    monkeypatch.setattr(sys, "stdin", stream())
    monkeypatch.setattr(sys, "stdout", stream())
    monkeypatch.setattr("builtins.input", lambda _: answer)
    monkeypatch.delenv("DATABASE_URL", raising=False)
    return command.Command(stdout=StringIO())._wants_empty()


def test_a_new_folder_that_was_named_is_asked_about_on_a_terminal(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert asked(monkeypatch, " Empty ") is True
    assert asked(monkeypatch, "demo") is False
    for answer in ("", "yes"):
        with pytest.raises(command.Refused, match="nothing was made"):
            asked(monkeypatch, answer)
    assert not data.exists()


def test_nobody_is_asked_without_a_terminal_or_a_named_folder_or_in_one_that_is_used(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert asked(monkeypatch, "stop", terminal=False) is False
    (data / "fonts").mkdir(parents=True)
    assert asked(monkeypatch, "stop") is False
    (data / "fonts").rmdir()
    monkeypatch.delenv("TAWERY_DATA")
    assert asked(monkeypatch, "stop") is False


@pytest.mark.usefixtures("demo")
def test_opening_says_its_folder_and_makes_the_copy_of_the_day_once(data: Path, settings: Settings) -> None:
    out = StringIO()
    call_command("open", "--no-serve", "--demo", stdout=out)
    assert f"\nData folder: {data}\n" in out.getvalue()
    assert f"\nCopy of today: {data / 'copies'}" in out.getvalue()
    again = StringIO()
    call_command("open", "--no-serve", stdout=again)
    assert "Copy of today" not in again.getvalue()


@pytest.mark.usefixtures("demo")
def test_a_copy_that_cannot_be_made_does_not_shut_the_door(data: Path, settings: Settings, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    settings.COPIES_DIR = tmp_path / "file" / "copies"
    out = StringIO()
    call_command("open", "--no-serve", stdout=out)
    assert "No copy was made today: The folder of copies" in out.getvalue()
    assert opening.copy_of_the_day().startswith("No copy was made")
