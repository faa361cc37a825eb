"""Where each table's numbering stands, so that a number that was once given is given to nobody else after a move."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.db import connection
from django.db.models import AutoField, BigAutoField, Model


def last(models: Iterable[type[Model]]) -> dict[str, int]:
    """The last number that each table of the default database gave; 0 where it gave none."""
    named = list(_numbered(models))
    if connection.vendor == "sqlite":
        known = dict(_fetch("SELECT name, seq FROM sqlite_sequence"))
        return {table: int(known.get(table, 0)) for table, _ in named}
    found = {}
    for table, column in named:
        name = _fetch("SELECT pg_get_serial_sequence(%s, %s)", f'"{table}"', column)[0][0]
        at, given = _fetch(f"SELECT last_value, is_called FROM {name}")[0]  # noqa: S608 - as the server names it
        found[table] = int(at) if given else 0
    return found


def go_on(models: Iterable[type[Model]], marks: Mapping[str, int]) -> None:
    """Each table of the default database goes on after the number given for it."""
    for table, column in _numbered(models):
        mark = marks[table]
        with connection.cursor() as cursor:
            if connection.vendor == "sqlite":
                cursor.execute("DELETE FROM sqlite_sequence WHERE name = %s", [table])
                cursor.execute("INSERT INTO sqlite_sequence (name, seq) VALUES (%s, %s)", [table, mark])
            else:
                where: list[str | int] = [f'"{table}"', column, max(mark, 1), mark > 0]
                cursor.execute("SELECT setval(pg_get_serial_sequence(%s, %s), %s, %s)", where)


def _numbered(models: Iterable[type[Model]]) -> Iterable[tuple[str, str]]:
    """Table and column of each key that the database counts up."""
    for model in models:
        if isinstance(model._meta.pk, AutoField | BigAutoField):
            yield model._meta.db_table, str(model._meta.pk.column)


def _fetch(sql: str, *values: str) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return list(cursor.fetchall())
