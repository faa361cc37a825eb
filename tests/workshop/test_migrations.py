"""A new database is made in one step; it is the one that all the steps since the first release would have made."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.sqlite3.base import DatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from pytest_django import DjangoDbBlocker

APPS = ("inventory", "costing")
SQLITE = "django.db.backends.sqlite3"


@contextmanager
def empty() -> Iterator[BaseDatabaseWrapper]:
    """A database in memory that stands for the tests' own, since what moves older rows asks for no other."""
    own = connections["default"]
    aside = DatabaseWrapper({**own.settings_dict, "ENGINE": SQLITE, "NAME": ":memory:", "OPTIONS": {}}, alias="default")
    connections["default"] = aside
    try:
        yield aside
    finally:
        connections["default"] = own
        aside.connection.close()  # Django keeps one in memory open


def migrate(database: BaseDatabaseWrapper, *, step_by_step: bool) -> None:
    executor = MigrationExecutor(database)
    executor.loader.replace_migrations = not step_by_step
    executor.loader.build_graph()
    graph = executor.loader.graph
    ends = [node for node in graph.leaf_nodes() if node[0] in APPS]
    executor.migrate([node for node in ends if not (step_by_step and graph.nodes[node].replaces)])


def tables(database: BaseDatabaseWrapper) -> dict[str, tuple[object, ...]]:
    """By table: its columns, and the words of its keys, indexes and of what each row must hold, in no order."""
    found = {}
    with database.cursor() as cursor:
        for table in sorted(database.introspection.table_names(cursor)):
            if not table.startswith(APPS):
                continue
            cursor.execute(f"PRAGMA table_info({table})")
            columns = {row[1]: row[2:] for row in cursor.fetchall()}
            cursor.execute("SELECT sql FROM sqlite_master WHERE tbl_name = %s", [table])
            lines = sorted(part for (sql,) in cursor.fetchall() if sql for part in _lines(sql))
            found[table] = (columns, lines)
    return found


def _lines(sql: str) -> list[str]:
    """The definitions of a table or an index, one each, by the commas outside of brackets.

    Without the name of an index that Django made up: it has the table's first name in it.
    """
    sql = re.sub(r'^CREATE INDEX "\w+_[0-9a-f]{8}"', "CREATE INDEX", sql)
    inside = sql[sql.index("(") + 1 : sql.rindex(")")] if sql.startswith("CREATE TABLE") else sql
    parts, depth, start = [], 0, 0
    for place, letter in enumerate(inside):
        depth += (letter == "(") - (letter == ")")
        if letter == "," and not depth:
            parts.append(inside[start:place].strip())
            start = place + 1
    return [*parts, inside[start:].strip()]


@pytest.mark.thorough
@pytest.mark.slow
def test_one_step_makes_what_all_steps_make(django_db_blocker: DjangoDbBlocker) -> None:
    with django_db_blocker.unblock(), empty() as database:
        migrate(database, step_by_step=False)
        at_once = tables(database)
    with django_db_blocker.unblock(), empty() as database:
        migrate(database, step_by_step=True)
        in_steps = tables(database)
    assert len(at_once) > 60
    assert at_once == in_steps
