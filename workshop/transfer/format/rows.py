"""From raw rows to typed ones, by the columns of a file. Pure: knows no database."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inventory.errors import Refused
from workshop.transfer.format.columns import Column, CsvFile
from workshop.transfer.format.problems import Problem
from workshop.transfer.format.reading import RawFile


@dataclass(frozen=True)
class CsvRow:
    """A row with its values by column; a column that was left out has its empty value."""

    file: CsvFile
    number: int
    cells: Mapping[str, str]
    values: Mapping[str, Any]

    def __getitem__(self, column: str) -> Any:
        return self.values[column]

    @property
    def name(self) -> str:
        """What others call the row: by its values, as they name it, however its cells were typed."""
        return self.file.key_of({column: str(self.values[column]) for column in self.file.key})

    def key(self) -> str:
        """Its name as it was typed, which is all that a row has that cannot be read."""
        return self.file.key_of(self.cells)

    def problem(self, reason: str, column: str = "") -> Problem:
        return Problem(self.file.name, reason, self.number, column, self.cells.get(column, ""))


@dataclass(frozen=True)
class TypedFile:
    """The rows that can be read, what is wrong with the others, and the names the others would have had."""

    rows: tuple[CsvRow, ...]
    problems: tuple[Problem, ...]
    spoiled: frozenset[str]


def refused_header(raw: RawFile, file: CsvFile) -> list[Problem]:
    """Columns that are not known, and needed ones that are not there."""
    known = [column.name for column in file.columns]
    listed = ", ".join(known)
    unknown = (name or "(without a name)" for name in raw.header if name not in known)
    missing = (column.name for column in file.columns if column.needed and column.name not in raw.header)
    return [
        *(
            Problem(raw.name, f"{name} is not a known column of this file. Columns are {listed}.", 1)
            for name in unknown
        ),
        *(Problem(raw.name, f"The column {name} is missing and is needed.", 1) for name in missing),
    ]


def parse(raw: RawFile, file: CsvFile) -> TypedFile:
    """Every row of a file whose header is in order."""
    rows: list[CsvRow] = []
    problems = list(raw.problems)
    spoiled = {file.key_of(dict(zip(raw.header, texts, strict=False))) for texts in raw.refused}
    for number, texts in raw.rows:
        cells = dict(zip(raw.header, texts, strict=True))
        values, bad = _values(file, number, cells)
        if bad:
            problems += bad
            spoiled.add(file.key_of(cells))
        else:
            rows.append(CsvRow(file, number, cells, values))
    return TypedFile(tuple(rows), tuple(problems), frozenset(spoiled))


def _values(file: CsvFile, number: int, cells: Mapping[str, str]) -> tuple[dict[str, Any], list[Problem]]:
    values: dict[str, Any] = {}
    problems = []
    for column in file.columns:
        cell = cells.get(column.name, "")
        try:
            values[column.name] = _value(column, cell)
        except Refused as refusal:
            problems.append(Problem(file.name, str(refusal), number, column.name, cell))
    return values, problems


def _value(column: Column, cell: str) -> Any:
    if cell:
        return column.kind.read(cell)
    if column.needed:
        raise Refused("It is missing and is needed.")
    return column.empty
