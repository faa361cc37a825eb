"""From the rows of a folder to typed ones, by the columns of each file. Knows no database."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from inventory.base.spreadsheets import unmarked
from inventory.errors import Refused
from workshop.transfer.format import reading
from workshop.transfer.format.columns import FILES, Column, CsvFile
from workshop.transfer.format.problems import FolderRefused, Problem


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


def read_folder(folder: Path) -> dict[str, TypedFile]:
    """The typed rows of each file. One that cannot be read, or has the wrong columns, stops here: others depend on it."""
    found: dict[str, TypedFile] = {}
    unreadable: list[Problem] = []
    headers: list[Problem] = []
    for path in reading.csv_files(folder):
        if path.name not in FILES:
            unreadable.append(Problem(path.name, f"This is not a known file. Files are {', '.join(FILES)}."))
            continue
        try:
            header, found[path.name] = _read(path, FILES[path.name])
            headers += _refused_header(header, FILES[path.name])
        except Refused as refusal:
            unreadable.append(Problem(path.name, str(refusal), refusal.row))
    if unreadable or headers:
        raise FolderRefused([*unreadable, *headers])
    return found


def _refused_header(header: Sequence[str], file: CsvFile) -> list[Problem]:
    """Columns that are not known, and needed ones that are not there."""
    known = [column.name for column in file.columns]
    unknown = "{} is not a known column of this file. Columns are {}."
    reasons = [unknown.format(name or "(without a name)", ", ".join(known)) for name in header if name not in known]
    missing = (column.name for column in file.columns if column.needed and column.name not in header)
    reasons += [f"The column {name} is missing and is needed." for name in missing]
    return [Problem(file.name, reason, 1) for reason in reasons]


def _read(path: Path, file: CsvFile) -> tuple[Sequence[str], TypedFile]:
    """The header and every row, what has no columns or runs in a spreadsheet named before what cannot be understood."""
    records = reading.records(path)
    header = reading.header(next(records, (1, []))[1])
    rows: list[CsvRow] = []
    refused: list[Problem] = []
    problems: list[Problem] = []
    spoiled = set()
    for number, texts in records:
        cells = {name: unmarked(text.replace("\r\n", "\n").strip()) for name, text in zip(header, texts, strict=False)}
        bad = reading.refused_cells(file.name, number, header, texts)
        values, wrong = ({}, []) if bad else _values(file, number, cells)
        refused += bad
        problems += wrong
        if bad or wrong:
            spoiled.add(file.key_of(cells))
        else:
            rows.append(CsvRow(file, number, cells, values))
    return header, TypedFile(tuple(rows), (*refused, *problems), frozenset(spoiled))


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
