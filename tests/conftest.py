"""What every test stands on: a data folder that is nobody's, Hypothesis profiles, and a database that threads can share.

Only what is really shared. Records are made by the plain functions of `tests/factories.py`.
"""

from __future__ import annotations

import gc
import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection, connections, transaction
from django.test import Client
from django.utils import timezone
from hypothesis import settings as hypothesis_settings
from pytest_django import DjangoDbBlocker
from whitenoise.middleware import WhiteNoiseMiddleware

from inventory.base import selectors as workshop
from inventory.people import services as people
from tests.inventory.pages import signed_in
from tests.thorough import THOROUGH, left_out
from workshop import transfer
from workshop.reports import checking, followed

# Nothing that is imported or collected is garbage: it is asked for again when all of it is there (`pytest_collection_finish`).
gc.disable()

# One folder for all workers and runs: the type of the papers is cut into it once. The settings are read before this file,
# so both the environment (for commands that tests start) and the loaded settings are pointed away from the maker's data.
DATA = Path(tempfile.gettempdir()) / f"tawery-tests-{os.getuid() if hasattr(os, 'getuid') else 'user'}"
DATA.mkdir(mode=0o700, exist_ok=True)
os.environ["TAWERY_DATA"] = str(DATA)
settings.DATA_DIR = DATA
settings.SECRET_FILE = DATA / "secret.key"

# A check of the books that was kept would be another test's.
checking.FILE, checking.SHARE = f"check-{os.getpid()}.json", 0
followed.HOLDS = timedelta()

# A moment's day is told as at this clock, whatever hour it is for whoever runs the tests.
os.environ["TAWERY_TIME_ZONE"] = settings.TIME_ZONE = "UTC"
timezone.get_default_timezone.cache_clear()

# Timing on a shared machine says nothing, hence no deadline. TAWERY_HYPOTHESIS=ci looks ten times further.
hypothesis_settings.register_profile("quick", deadline=None, max_examples=100 if THOROUGH else 30)
hypothesis_settings.register_profile("ci", deadline=None, max_examples=1000)
hypothesis_settings.load_profile(os.environ.get("TAWERY_HYPOTHESIS", "quick"))
DEMO = settings.BASE_DIR / "fixtures" / "demo"


def pytest_configure(config: pytest.Config) -> None:
    """The whole suite was asked for, and not thoroughly: the workers learn it from the environment they inherit."""
    if not hasattr(config, "workerinput"):
        short = config.args_source is pytest.Config.ArgsSource.TESTPATHS and not THOROUGH
        os.environ["SHORT_SUITE"] = "1" if short else ""


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Without what only a thorough run asks. The browser's first: the longest must not begin when all others have ended."""
    if os.environ.get("SHORT_SUITE"):
        left = left_out(items)
        config.hook.pytest_deselected(items=list(left))
        items[:] = [item for item in items if item not in left]
    items.sort(key=lambda item: item.get_closest_marker("browser") is None)


def pytest_collection_finish() -> None:
    """What is loaded by now stays to the end: the collector of garbage need not turn it over again at every test."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 50)
    gc.enable()


@pytest.fixture(scope="session", autouse=True)
def _static_files_are_listed_once() -> Iterator[None]:
    """Every test's client is a server of its own, and each would list the static files anew: 7 ms, a thousand times."""
    listed: dict[str, object] = {}

    def list_once(server: WhiteNoiseMiddleware) -> None:
        if not listed:
            list_all(server)
            listed.update(server.files)
        server.files.update(listed)

    list_all = WhiteNoiseMiddleware.add_files_from_finders
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WhiteNoiseMiddleware, "add_files_from_finders", list_once)
        yield


@pytest.fixture(scope="session")
def kept_year(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[sqlite3.Connection | None]:
    """The demonstration year in a database aside, loaded once a run; None where the database cannot be copied in a moment."""
    if connection.vendor != "sqlite":
        yield None
        return
    with closing(sqlite3.connect(":memory:")) as kept, closing(sqlite3.connect(":memory:")) as empty:
        with django_db_blocker.unblock():
            connection.ensure_connection()
            connection.connection.backup(empty)
            _load_year()
            connection.connection.backup(kept)
            empty.backup(connection.connection)
        yield kept


def _load_year() -> None:
    transfer.load(DEMO)
    people.owner()


@contextmanager
def in_year(kept: sqlite3.Connection | None) -> Iterator[None]:
    """The demonstration year stands in the tests' database: copied in and away again, or loaded and taken back."""
    if kept is None:
        with transaction.atomic():
            _load_year()
            yield
            transaction.set_rollback(True)
        return
    with closing(sqlite3.connect(":memory:")) as before:
        connection.ensure_connection()
        connection.connection.backup(before)
        kept.backup(connection.connection)
        try:
            yield
        finally:
            before.backup(connection.connection)


@pytest.fixture(autouse=True)
def _as_within_a_request() -> Iterator[None]:
    """The workshop's row is read once for a request, a command, a load; so it is for a test, and no test hears another's."""
    with workshop.remembered():
        yield


@pytest.fixture
def client(db: None) -> Client:
    """The owner's browser, signed in. Who is a stranger is asked once for all addresses, in test_security."""
    return signed_in()


@pytest.fixture
def midday(monkeypatch: pytest.MonkeyPatch) -> None:
    """The clock goes on from noon of today: what was begun an hour ago was begun today, at whatever hour the tests run."""
    real = timezone.now
    started = real()
    noon = timezone.localtime(started).replace(hour=12, minute=0, second=0, microsecond=0)
    monkeypatch.setattr(timezone, "now", lambda: noon + (real() - started))


@pytest.fixture
def shared_database(transactional_db: None, tmp_path: Path) -> Iterator[None]:
    """The default database as several processes have it: a file with the product's own options, or PostgreSQL as it is.

    The tests' SQLite database lives in memory, where threads get in each other's way as they never do in a file.
    """
    if connection.vendor != "sqlite":
        yield
        return
    file = tmp_path / "shared.sqlite3"
    with closing(sqlite3.connect(file)) as target:
        connection.connection.backup(target)
        # As a file in use is: of threads that open it for the first time, only one could change how it is journalled.
        target.execute("PRAGMA journal_mode=WAL")
    in_memory, name = connections["default"], settings.DATABASES["default"]["NAME"]
    connections.settings["default"]["NAME"] = str(file)
    connections["default"] = connections.create_connection("default")
    try:
        yield
    finally:
        connection.close()
        connections.settings["default"]["NAME"] = name
        connections["default"] = in_memory
