"""From raw rows to typed ones, by the columns of a file. Pure: knows no database."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inventory.errors import Refused
from workshop.exchange.columns import Column
from workshop.exchange.problems import Problem
from workshop.exchange.reading import Raw
from workshop.exchange.table import Table


@dataclass(frozen=True)
class Row:
    """A row with its values by column; a column that was left out has its empty value."""

    table: Table
    number: int
    cells: Mapping[str, str]
    values: Mapping[str, Any]

    def __getitem__(self, column: str) -> Any:
        return self.values[column]

    def key(self) -> str:
        return key_of(self.table, self.cells)

    def problem(self, reason: str, column: str = "") -> Problem:
        return Problem(self.table.file, self.number, column, self.cells.get(column, ""), reason)


@dataclass(frozen=True)
class Parsed:
    """The rows that can be read, what is wrong with the others, and the names the others would have had."""

    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]
    spoiled: frozenset[str]


def key_of(table: Table, cells: Mapping[str, str]) -> str:
    return table.joint.join(cells.get(name, "") for name in table.key)


def refused_header(raw: Raw, table: Table) -> list[Problem]:
    """Columns that are not known, and needed ones that are not there."""
    known = [column.name for column in table.columns]
    problems = [
        Problem(
            raw.file,
            1,
            "",
            "",
            f"The column {name or '(without a name)'} is not known. Columns are {', '.join(known)}.",
        )
        for name in raw.header
        if name not in known
    ]
    problems += [
        Problem(raw.file, 1, "", "", f"The column {column.name} is missing and is needed.")
        for column in table.columns
        if column.needed and column.name not in raw.header
    ]
    return problems


def parse(raw: Raw, table: Table) -> Parsed:
    """Every row of a file whose header is in order."""
    rows: list[Row] = []
    problems = list(raw.problems)
    spoiled = {key_of(table, dict(zip(raw.header, texts, strict=False))) for texts in raw.refused}
    for number, texts in raw.rows:
        cells = dict(zip(raw.header, texts, strict=True))
        values, bad = _values(table, number, cells)
        if bad:
            problems += bad
            spoiled.add(key_of(table, cells))
        else:
            rows.append(Row(table, number, cells, values))
    return Parsed(tuple(rows), tuple(problems), frozenset(spoiled))


def _values(table: Table, number: int, cells: Mapping[str, str]) -> tuple[dict[str, Any], list[Problem]]:
    values: dict[str, Any] = {}
    problems = []
    for column in table.columns:
        cell = cells.get(column.name, "")
        try:
            values[column.name] = _value(column, cell)
        except Refused as refusal:
            problems.append(Problem(table.file, number, column.name, cell, refusal.message))
    return values, problems


def _value(column: Column, cell: str) -> Any:
    if cell:
        return column.read(cell)
    if column.needed:
        raise Refused("It is missing and is needed.")
    return column.empty
