"""What is chained: the kinds of rows, and for each the statement that reads what of it stays for good.

Owns no kind itself: each floor registers its own (`contents.py`). The columns of a kind never change once books are chained by
them, for every older link would be false; what a later version wants to hold besides becomes a kind of its own.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import groupby
from operator import itemgetter
from typing import Any, cast

from django.db import connection, models

from inventory.base.chain import rules

# Both databases must give the same text, or a workshop that moves between them would find its own past false.
_READ: dict[type[models.Field[Any, Any]], dict[str, str]] = {
    models.BooleanField: {"": "CASE WHEN {} THEN 1 ELSE 0 END"},
    models.DateField: {"sqlite": "{} || ''", "": "to_char({}, 'YYYY-MM-DD')"},
    models.DateTimeField: {
        "sqlite": "{0} || CASE WHEN length({0}) = 19 THEN '.000000' ELSE '' END",
        "": "to_char({} AT TIME ZONE 'UTC', 'YYYY-MM-DD HH24:MI:SS.US')",
    },
    models.JSONField: {"": "CAST({} AS text)"},
}


@dataclass(frozen=True)
class Part:
    """Rows that belong to a row: what of them `stays`, and the column that leads to the row or to a part named before (`of`)."""

    model: type[models.Model]
    by: str
    stays: tuple[str, ...]
    changes: tuple[str, ...] = ()
    of: type[models.Model] | None = None


@dataclass(frozen=True)
class Kind:
    """`stays`: what of the row is for good; `changes`: what services may rightly change later, and no link holds.

    `by_sql`: its rows may be written past `save()`, so the service that makes them says so.
    """

    name: str
    model: type[models.Model]
    stays: tuple[str, ...]
    changes: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    by_sql: bool = False

    @property
    def table(self) -> str:
        return self.model._meta.db_table

    @property
    def read(self) -> str:
        """The statement without its condition: the key first, then every column of the row and of its parts.

        The embedded database writes them as JSON itself, in half the time; a test holds what it writes to `rules.row`.
        """
        return _statement(self, connection.vendor)

    @cached_property
    def order(self) -> str:
        return "ORDER BY " + ", ".join(
            _column(model, "id") for model in (self.model, *(part.model for part in self.parts))
        )

    @cached_property
    def papers(self) -> tuple[int, ...]:
        """Where columns of JSON stand: each database writes them with other spaces, in another order."""
        fields = [model._meta.get_field(name) for model, name in self._columns]
        return tuple(at for at, each in enumerate(fields) if isinstance(each, models.JSONField))

    @property
    def _columns(self) -> list[tuple[type[models.Model], str]]:
        held = [(self.model, self.stays), *((part.model, part.stays) for part in self.parts)]
        return [(model, name) for model, names in held for name in names]

    def said(self, keys: Sequence[int]) -> dict[int, str]:
        """What each row says for good, as text; a row that is not there has none."""
        with connection.cursor() as cursor:
            cursor.execute(self.statement(len(keys)), keys)
            return self.told(cursor.fetchall())

    def statement(self, many: int) -> str:
        """What reads so many rows by their keys: always the same text for one row, which the database then need not read again."""
        return f"{self.read} WHERE {_column(self.model, 'id')} IN ({', '.join(['%s'] * many)}) {self.order}"

    def presence(self, many: int) -> str:
        """What tells which of so many rows are there."""
        return f"SELECT id FROM {self.table} WHERE id IN ({', '.join(['%s'] * many)})"

    def told(self, rows: Iterable[tuple[Any, ...]]) -> dict[int, str]:
        """What was read, by key."""
        if not self._written:
            rows = [(key, rules.row(self._plain(cells))) for key, *cells in rows]
        rows = list(rows)
        if len(one := dict(rows)) == len(rows):
            return {key: f"[{told}]" for key, told in one.items()}
        return {key: rules.text(told for _, told in joined) for key, joined in groupby(rows, itemgetter(0))}

    @property
    def _written(self) -> bool:
        """Whether the database writes the row as text. Columns of JSON it would leave as they are, keys in any order."""
        return connection.vendor == "sqlite" and not self.papers

    def _plain(self, cells: Iterable[object]) -> Iterator[object]:
        return (json.loads(str(cell)) if at in self.papers else cell for at, cell in enumerate(cells))


_kinds: dict[str, Kind] = {}
_by_model: dict[type[models.Model], Kind] = {}


def register(kinds: Iterable[Kind]) -> None:
    for kind in kinds:
        _kinds[kind.name] = _by_model[kind.model] = kind


def known() -> Iterator[Kind]:
    """Every kind, in the order that older books are chained in."""
    yield from _kinds.values()


def named(name: str) -> Kind | None:
    return _kinds.get(name)


def of(model: type[models.Model]) -> Kind | None:
    return _by_model.get(model)


def _table(model: type[models.Model]) -> str:
    return model._meta.db_table


def _column(model: type[models.Model], name: str) -> str:
    return f'{_table(model)}."{_field(model, name).column}"'


def _field(model: type[models.Model], name: str) -> models.Field[Any, Any]:
    return cast("models.Field[Any, Any]", model._meta.get_field(name))


@cache
def _statement(kind: Kind, _vendor: str) -> str:
    """Made once for each sort of database: a move from one to the other works on both."""
    columns = [_read(model, name) for model, name in kind._columns]
    if kind._written:
        columns = [f"json_array({', '.join(columns)})"]
    joins = [
        f"LEFT JOIN {_table(part.model)} ON {_column(part.model, part.by)} = {_column(part.of or kind.model, 'id')}"
        for part in kind.parts
    ]
    return f"SELECT {', '.join([_column(kind.model, 'id'), *columns])} FROM {kind.table} {' '.join(joins)}"


def _read(model: type[models.Model], name: str) -> str:
    column, field = _column(model, name), _field(model, name)
    ways = next((_READ[kind] for kind in type(field).__mro__ if kind in _READ), {"": "{}"})
    return ways.get(connection.vendor, ways[""]).format(column)
