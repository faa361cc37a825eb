"""Statements on their way to the database, in as few trips as it allows: over a network each trip costs as much as the work."""

from collections.abc import Sequence
from typing import Any

from django.db import connection

Row = Sequence[Any]
_LONGEST = 300  # statements in one text


def ask(statements: Sequence[tuple[str, Row]]) -> list[list[tuple[Any, ...]]]:
    """What each answers. Each begins when the one before it has ended, and sees what that waited for."""
    with connection.cursor() as cursor:
        if not _takes_many():
            found = []
            for sql, values in statements:
                cursor.execute(sql, values)
                found.append(list(cursor.fetchall()))
            return found
        cursor.execute(*_as_one(statements))
        found = [list(cursor.fetchall())]
        while cursor.nextset():
            found.append(list(cursor.fetchall()))
        return found


def send(statements: Sequence[tuple[str, Sequence[Row]]]) -> None:
    """Each as often as there are rows for it; nothing is answered."""
    each = [(sql, row) for sql, rows in statements for row in rows]
    with connection.cursor() as cursor:
        if each and _takes_many() and len(each) <= _LONGEST:
            cursor.execute(*_as_one(each))
            return
        for sql, rows in statements:
            if rows:
                cursor.executemany(sql, rows)


def _takes_many() -> bool:
    """PostgreSQL takes several statements in one text, unless their values are sent beside it."""
    return connection.vendor == "postgresql" and not connection.settings_dict["OPTIONS"].get("server_side_binding")


def _as_one(statements: Sequence[tuple[str, Row]]) -> tuple[str, list[Any]]:
    return "; ".join(sql for sql, _ in statements), [value for _, values in statements for value in values]
