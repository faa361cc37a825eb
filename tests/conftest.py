"""What every test stands on: a data folder that is nobody's, Hypothesis profiles, and a database that threads can share.

Only what is really shared. Records are made by the plain functions of `tests/factories.py`.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection, connections
from hypothesis import settings as hypothesis_settings

from inventory.selectors import workshop

# One folder for all workers and runs: the type of the papers is cut into it once. The settings are read before this file,
# so both the environment (for commands that tests start) and the loaded settings are pointed away from the maker's data.
DATA = Path(tempfile.gettempdir()) / f"tawery-tests-{os.getuid() if hasattr(os, 'getuid') else 'user'}"
DATA.mkdir(mode=0o700, exist_ok=True)
os.environ["TAWERY_DATA"] = str(DATA)
settings.DATA_DIR = DATA
settings.SECRET_FILE = DATA / "secret.key"

# Timing on a shared machine says nothing, hence no deadline. TAWERY_HYPOTHESIS=ci looks ten times further.
hypothesis_settings.register_profile("quick", deadline=None)
hypothesis_settings.register_profile("ci", deadline=None, max_examples=1000)
hypothesis_settings.load_profile(os.environ.get("TAWERY_HYPOTHESIS", "quick"))


@pytest.fixture(autouse=True)
def _nothing_remembered() -> None:
    """The workshop's row is kept for a request; a request that a test broke off must not speak to the next test."""
    workshop.forget()


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
    in_memory, name = connections["default"], settings.DATABASES["default"]["NAME"]
    connections.settings["default"]["NAME"] = str(file)
    connections["default"] = connections.create_connection("default")
    try:
        yield
    finally:
        connection.close()
        connections.settings["default"]["NAME"] = name
        connections["default"] = in_memory
