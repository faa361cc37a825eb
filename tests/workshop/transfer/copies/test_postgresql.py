"""Copies of a workshop on PostgreSQL: by its own tools, proved in a database of its own, swapped in one transaction."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings as plain_settings
from django.db import connection

from inventory.errors import Refused
from tests.serving import database
from tests.workshop.transfer.copies.managing import manage
from workshop.transfer.copies import databases


def test_tools_that_are_missing_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(databases.shutil, "which", lambda _: None)
    with pytest.raises(Refused, match=r"pg_dump is not found\. Install the client programs of PostgreSQL"):
        databases._tool("pg_dump")


its_own_way = pytest.mark.skipif(
    connection.vendor != "postgresql" or not databases.shutil.which("pg_dump"), reason="PostgreSQL's own way"
)


@pytest.fixture
def served(tmp_path: Path) -> Iterator[dict[str, str]]:
    with database() as own:
        yield {**os.environ, **own, "TAWERY_DATA": str(tmp_path / "shed")}


@pytest.mark.thorough
@pytest.mark.slow
@its_own_way
def test_a_copy_comes_back_with_its_books_clean(served: dict[str, str], tmp_path: Path) -> None:
    import psycopg

    manage(served, "open", "--no-serve", "--empty")
    copy = tmp_path / "copy.zip"
    manage(served, "backup", str(copy))
    manage(served, "verify", str(copy))
    with psycopg.connect(served["DATABASE_URL"], autocommit=True) as opened:
        opened.execute("UPDATE inventory_workshop SET name = 'Changed since'")
    said = manage(served, "restore", str(copy))
    assert "books clean" in said
    with psycopg.connect(served["DATABASE_URL"], autocommit=True) as opened:
        assert opened.execute("SELECT count(*) FROM inventory_workshop WHERE name = 'Changed since'").fetchone() == (0,)
        own = opened.info.dbname
        left = opened.execute("SELECT datname FROM pg_database WHERE datname LIKE %s", [f"{own}\\_%"]).fetchall()
        assert len(left) == 1, "the one that stood there, and none that a copy was tried in"
        opened.execute(f'DROP DATABASE "{left[0][0]}"')


@pytest.mark.thorough
@pytest.mark.slow
@its_own_way
def test_a_restore_that_is_killed_leaves_the_old_or_the_new(served: dict[str, str], tmp_path: Path) -> None:
    import psycopg

    manage(served, "open", "--no-serve", "--empty")
    copy = tmp_path / "copy.zip"
    manage(served, "backup", str(copy))
    with psycopg.connect(served["DATABASE_URL"], autocommit=True) as opened:
        opened.execute("UPDATE inventory_workshop SET name = 'Changed since'")
        own = opened.info.dbname
    seen, patience = [], 2.0
    while "new" not in seen:
        start = [sys.executable, str(plain_settings.BASE_DIR / "manage.py"), "restore", str(copy)]
        with subprocess.Popen(start, env=served, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as restored:
            try:
                restored.wait(patience)
            except subprocess.TimeoutExpired:
                restored.kill()
        manage(served, "open", "--no-serve")  # which ends what was begun
        with psycopg.connect(served["DATABASE_URL"], autocommit=True) as opened:
            changed = opened.execute("SELECT count(*) FROM inventory_workshop WHERE name = 'Changed since'").fetchone()
        seen.append("old" if changed == (1,) else "new")
        patience *= 2
    assert seen[0] == "old"
    manage(served, "check_books")
    with psycopg.connect(os.environ["DATABASE_URL"], autocommit=True) as server:
        left = [
            name
            for (name,) in server.execute("SELECT datname FROM pg_database").fetchall()
            if name.startswith(f"{own}_")
        ]
        assert len([name for name in left if "_before_" in name]) == 1
        assert len([name for name in left if "_restoring_" in name]) <= 1, "the next restore clears what this one left"
        for name in left:
            server.execute(f'DROP DATABASE "{name}" WITH (FORCE)')
