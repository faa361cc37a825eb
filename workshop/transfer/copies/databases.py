"""The database of a copy: taken out in one step while people write, looked at, and put beside the one in use. No page, no zip.

SQLite is copied by its own online backup; PostgreSQL by its tools `pg_dump` and `pg_restore`, which must be installed.
"""

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader

from inventory.errors import Refused
from workshop.transfer.copies import archive

OURS = ("inventory", "costing")
SIGN_INS = "django_session"  # a copy comes without: whoever found one would be in by somebody's open sign-in
_APPLIED = "SELECT app, name FROM django_migrations"
_FAULTS = (DatabaseError, sqlite3.DatabaseError)


def kind() -> str:
    """The name that the database in use has in a copy."""
    return archive.SQLITE if connection.vendor == "sqlite" else archive.POSTGRESQL


def take(target: Path) -> dict[str, int]:
    """The database as it is at one moment into a file; the rows of each table. Nobody waits for it."""
    return _take_sqlite(target) if kind() == archive.SQLITE else _take_postgresql(target)


def file() -> Path | None:
    """The file of the database in use; None where it is on a server, or in memory."""
    name = str(connection.settings_dict["NAME"])
    return Path(name) if connection.vendor == "sqlite" and "mode=memory" not in name and name != ":memory:" else None


@contextmanager
def source() -> Iterator[sqlite3.Connection]:
    """The SQLite file by a connection of its own: what a page is writing just now is not in the copy, and nobody waits."""
    found = file()
    if found is None:
        raise Refused("The database lies in memory only, and cannot be copied.")
    with closing(sqlite3.connect(f"{found.resolve().as_uri()}?mode=rw", uri=True, timeout=20)) as opened:
        yield opened


def look_at(file: Path, rows: Mapping[str, int]) -> None:
    """Refuse an unpacked database that is damaged, has other rows than the manifest says, or is newer than the program."""
    if file.name == archive.POSTGRESQL:
        _run("pg_restore", "--list", str(file))
        return
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as opened:
            found = opened.execute("PRAGMA quick_check(1)").fetchone()[0]
            if found != "ok":
                raise Refused(f"The database in the copy is damaged ({found}). Take another copy.")
            if _counted(opened) != dict(rows):
                raise Refused("The database in the copy has other rows than its manifest says. Take another copy.")
            refuse_newer(opened.execute(_APPLIED).fetchall())
    except _FAULTS as fault:
        raise Refused(f"The database in the copy is damaged ({fault}). Take another copy.") from None


def refuse_newer(applied: list[Any]) -> None:
    """Steps of the tables that this program does not know were made by a newer one."""
    known = _known()
    strange = [f"{app} {name}" for app, name in applied if app in OURS and (app, name) not in known]
    if strange:
        raise Refused(
            f"The database was made by a newer version of the program ({strange[-1]} is not known here). Install that version "
            "and open again. Nothing was changed."
        )


def _known() -> set[tuple[str, str]]:
    loader = MigrationLoader(None, load=False)
    loader.load_disk()
    replaced = {step for migration in loader.disk_migrations.values() for step in migration.replaces}
    return set(loader.disk_migrations) | replaced


def _take_sqlite(target: Path) -> dict[str, int]:
    try:
        with source() as held, closing(sqlite3.connect(target)) as taken:
            held.backup(taken)  # all pages in one step: what is written meanwhile is in the next copy
            taken.execute("PRAGMA journal_mode=DELETE")  # one file, not three
            rows = _counted(taken)
            if rows.get(SIGN_INS):
                taken.execute(f"DELETE FROM {SIGN_INS}")  # noqa: S608 - a name of ours
                taken.commit()
                taken.execute("VACUUM")  # else they could still be read where they stood
            return {**rows, SIGN_INS: 0} if SIGN_INS in rows else rows
    except _FAULTS as fault:
        raise Refused(f"The database cannot be copied ({fault}). Free some room, or run `manage.py open`.") from None


def _counted(opened: sqlite3.Connection) -> dict[str, int]:
    tables = [name for (name,) in opened.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    plain = [name for name in tables if not name.startswith("sqlite_")]
    return {name: opened.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for name in plain}  # noqa: S608 - its own names


def _take_postgresql(target: Path) -> dict[str, int]:
    _tool("pg_dump")
    with _server(settings.DATABASES["default"]["NAME"]) as server:
        server.execute("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
        snapshot = server.execute("SELECT pg_export_snapshot()").fetchone()[0]
        rows = _rows_of(server)
        _run(
            *("pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--exclude-table-data={SIGN_INS}"),
            f"--snapshot={snapshot}",
            f"--file={target}",
        )
        server.execute("ROLLBACK")
    return {**rows, SIGN_INS: 0}


def _rows_of(server: Any) -> dict[str, int]:
    tables = server.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'").fetchall()
    return {name: server.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for (name,) in tables}  # noqa: S608


@contextmanager
def beside(dump: Path, stamp: str, rows: Mapping[str, int]) -> Iterator[str]:
    """A new PostgreSQL database with what is in the dump; its name. Dropped where the block fails."""
    _tool("pg_restore")
    name = f"{settings.DATABASES['default']['NAME']}_restoring_{stamp}".replace("-", "_")
    with _server("postgres") as server:
        try:
            server.execute(f'CREATE DATABASE "{name}" TEMPLATE template0')
        except _server_fault() as fault:
            raise Refused(
                f"A database to try the copy in cannot be made ({_first_line(fault)}). Allow the user CREATEDB."
            ) from None
        try:
            _run(*("pg_restore", "--no-owner", "--no-privileges", "--exit-on-error"), f"--dbname={name}", str(dump))
            with _server(name) as made:
                if _rows_of(made) != dict(rows):
                    raise Refused("The database in the copy has other rows than its manifest says. Take another copy.")
                refuse_newer(made.execute(_APPLIED).fetchall())
            yield name
        except BaseException:
            server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')
            raise


def clear_left() -> None:
    """What restores that were killed left on the server, which nothing names any more."""
    own = settings.DATABASES["default"]["NAME"]
    with _server("postgres") as server:
        for (name,) in server.execute("SELECT datname FROM pg_database").fetchall():
            if name.startswith(f"{own}_restoring_"):
                server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def drop(name: str) -> None:
    with _server("postgres") as server:
        server.execute(f'DROP DATABASE IF EXISTS "{name}" WITH (FORCE)')


def exists(name: str) -> bool:
    with _server("postgres") as server:
        return bool(server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchall())


def swap(name: str, stamp: str) -> None:
    """The restored database takes the name of the one in use, which keeps a dated name; both at one moment or neither."""
    own = settings.DATABASES["default"]["NAME"]
    connection.close()
    with _server("postgres") as server:
        try:
            server.execute("BEGIN")
            if server.execute("SELECT 1 FROM pg_database WHERE datname = %s", [own]).fetchall():
                server.execute(f'ALTER DATABASE "{own}" RENAME TO "{own}_before_{stamp.replace("-", "_")}"')
            server.execute(f'ALTER DATABASE "{name}" RENAME TO "{own}"')
            server.execute("COMMIT")
        except _server_fault() as fault:
            raise Refused(
                f"The databases cannot change names ({_first_line(fault)}). Stop the server, then restore again."
            ) from None


def environment(folder: Path, name: str = "") -> dict[str, str]:
    """What a command of ours needs to work on the folder, and on the PostgreSQL database of that name."""
    given = {key: value for key, value in os.environ.items() if key != "DATABASE_URL"}
    if name:
        given["DATABASE_URL"] = urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{name}").geturl()
    return {**given, "TAWERY_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "workshop.settings"}


def prove(folder: Path, name: str = "", *, differ: bool = False) -> int:
    """Bring the unpacked database up to the program and work its books out anew, in processes of their own. Refuses what is no
    good; how many differences its books have, which is none unless they may `differ`."""
    migrated = _manage(folder, name, "migrate", "--verbosity", "0", "--no-input")
    if migrated.returncode:
        raise Refused(f"The copy does not stand the test ({_last_line(migrated.stderr)}). Take another copy.")
    checked = _manage(folder, name, "check_books", "--all", "--json")
    try:
        differences = json.loads(checked.stdout)["differences"]
    except (ValueError, KeyError):
        raise Refused(f"The copy does not stand the test ({_last_line(checked.stderr)}). Take another copy.") from None
    if differences and not differ:
        raise Refused(
            f"The books in the copy do not agree, in {len(differences)} places ({differences[0]}). Take another copy. If it is the "
            "only one: `restore FILE --although-books-differ`."
        )
    return len(differences)


def _manage(folder: Path, name: str, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 - our own command
        [sys.executable, str(settings.BASE_DIR / "manage.py"), *words],
        env=environment(folder, name),
        capture_output=True,
        text=True,
        check=False,
    )


def _last_line(said: str) -> str:
    return said.strip().split("\n")[-1]


@contextmanager
def _server(name: str) -> Iterator[Any]:
    """A connection of its own to a database of the server in use, without a transaction around it."""
    import psycopg  # the driver is installed where PostgreSQL is used

    own: Any = settings.DATABASES["default"]
    where = {key.lower(): own.get(key) for key in ("HOST", "PORT", "USER", "PASSWORD") if own.get(key)}
    options = {key: value for key, value in own.get("OPTIONS", {}).items() if key.startswith("ssl")}
    try:
        opened = psycopg.connect(dbname=name, autocommit=True, **where, **options)
    except psycopg.Error as fault:
        raise Refused(f"PostgreSQL does not let us into {name} ({_first_line(fault)}).") from None
    with closing(opened):
        yield opened


def _server_fault() -> type[Exception]:
    import psycopg  # the driver is installed where PostgreSQL is used

    return psycopg.Error


def _first_line(fault: Exception) -> str:
    return str(fault).strip().split("\n")[0]


def _tool(name: str) -> str:
    found = shutil.which(name)
    if not found:
        raise Refused(
            f"{name} is not found. Install the client programs of PostgreSQL (postgresql-client), then try again."
        )
    return found


def _run(tool: str, *words: str) -> None:
    own: Any = settings.DATABASES["default"]
    names = {"PGHOST": "HOST", "PGPORT": "PORT", "PGUSER": "USER", "PGPASSWORD": "PASSWORD", "PGDATABASE": "NAME"}
    given = {name: str(own[key]) for name, key in names.items() if own.get(key)}
    given |= {f"PG{key.upper()}": str(value) for key, value in own.get("OPTIONS", {}).items() if key.startswith("ssl")}
    done = subprocess.run(  # noqa: S603 - a tool found by its name, with words of ours
        [_tool(tool), *words], env={**os.environ, **given}, capture_output=True, text=True, check=False
    )
    if done.returncode:
        said = (done.stderr.strip() or "no reason given").split("\n")[0]
        raise Refused(f"{tool} did not finish ({said}).")
