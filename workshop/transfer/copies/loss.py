"""A lost, damaged or newer database is told apart from a new one. Writes nothing but the mark of a first opening."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

from django.db import DatabaseError, connection

from inventory.errors import Refused
from inventory.models import Workshop
from workshop.transfer import aside
from workshop.transfer.copies import archive, databases, shelf

SQLITE = "sqlite"  # as `move_to` names the file in the data folder
NOTE = "moved.json"  # which database the workshop left, and for which
FIRST = ".first-opening"  # a first opening that was killed goes on; it lost nothing
_TRACES = (archive.KEY, *archive.STORES, "papers")
_WORDS = {archive.KEY: "a key", "photos": "photos", "bills": "bills", "papers": "papers"}


def refuse(folder: Path, *, empty: bool) -> None:
    """Refuse a folder whose database is lost, damaged or newer than the program; mark one that nothing was ever in.

    With another database than SQLite, `empty` may begin one for a folder that holds the SQLite file it moved from.
    """
    _refuse_left(folder)
    traces = _traces(folder)
    tables = _tables()
    if tables is None or "django_migrations" not in tables:
        moved = connection.vendor != "sqlite" and empty and (folder / archive.SQLITE).is_file()
        if traces and not moved and not (folder / FIRST).exists():
            raise _lost(folder, traces)
        if not traces:
            aside.write(folder / FIRST, b"")
        return
    without = [word for word in traces if word != _WORDS[archive.KEY]]
    if (
        without
        and Workshop._meta.db_table in tables
        and not Workshop.objects.exists()
        and not (folder / FIRST).exists()
    ):
        raise _lost(folder, without)
    with connection.cursor() as cursor:
        cursor.execute("SELECT app, name FROM django_migrations")
        databases.refuse_newer(cursor.fetchall())


def _refuse_left(folder: Path) -> None:
    """What would be entered in a database that the workshop moved away from would be missing where it is now."""
    try:
        told = json.loads((folder / NOTE).read_text("utf-8"))
        left, to, on = str(told["left"]), str(told["to"]), str(told["on"])
    except (OSError, ValueError, KeyError, TypeError):
        return
    if left == connection.vendor:
        way = "Unset DATABASE_URL" if to == SQLITE else "Set DATABASE_URL to it"
        raise Refused(
            f"This workshop moved to {to} on {on[:10]}. {way} and open again. To go on with the database that it left, delete "
            f"{folder / NOTE}. Nothing was changed."
        )


def opened(folder: Path) -> None:
    """The workshop is there: from now on a missing database is a lost one."""
    (folder / FIRST).unlink(missing_ok=True)
    shelf.begin()


def begin_anew(folder: Path) -> bool:
    """Take away the file of a first opening that was killed between tables and the note that they are made. False where there is
    no such: nothing was ever entered in one, and nothing else is taken away."""
    file = databases.file()
    if file is None or not (folder / FIRST).exists():
        return False
    connection.close()
    for beside in ("", "-wal", "-shm", "-journal"):
        file.with_name(file.name + beside).unlink(missing_ok=True)
    return True


def way_back() -> str:
    """The last copy and the command that puts it back."""
    last = shelf.newest()
    if last is None:
        return f"No copy lies in {shelf.folder()}; put one back from elsewhere: `manage.py restore FILE`."
    return f"The last copy is of {last.made:%Y-%m-%d}: `manage.py restore {last.file}`."


def damaged(fault: Any) -> Refused:
    where = f"The database {databases.file()}" if connection.vendor == "sqlite" else "The database"
    return Refused(f"{where} is damaged or cannot be read ({str(fault).strip()}). {way_back()} Nothing was changed.")


def _lost(folder: Path, traces: list[str]) -> Refused:
    return Refused(
        f"{folder} holds {_and(traces)} but no database with entries: it was lost, or this is not its folder. "
        f"{way_back()} To begin a new workshop, name another folder in TAWERY_DATA. Nothing was changed."
    )


def _tables() -> list[str] | None:
    """The names of the tables; None where there is no database. Refused where it is damaged."""
    file = databases.file()
    if file is not None:
        if not file.exists() or not file.stat().st_size:
            return None
        _refuse_damaged(file)
    try:
        return connection.introspection.table_names()
    except DatabaseError as fault:
        raise damaged(fault) from None


def _refuse_damaged(file: Path) -> None:
    try:
        # Not read-only: what a killed program left beside the file is taken in by the first who opens it.
        with closing(sqlite3.connect(file, timeout=20)) as looked:
            found = looked.execute("PRAGMA quick_check(1)").fetchone()[0]
    except sqlite3.DatabaseError as fault:
        raise damaged(fault) from None
    if found != "ok":
        raise damaged(str(found).replace("\n", " "))


def _traces(folder: Path) -> list[str]:
    there = []
    for name in _TRACES:
        path = folder / name
        if path.is_file() or (path.is_dir() and any(path.iterdir())):
            there.append(_WORDS[name])
    return there


def _and(words: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))
