"""What a file of a folder is. Its list of columns, in `files.txt`, is the one thing that load, save, refusals and docs share.

A column says once how its cell is read, where a saved record holds its value, how the value is written, which argument of a
service takes it, and what a person is told of it.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from operator import attrgetter
from pathlib import Path
from typing import Any

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Model

from workshop.transfer.format import kinds
from workshop.transfer.format.kinds import Kind

Cells = dict[str, str]
_KEYS = "keys of workshop.csv"
_NONE = "-"


@dataclass(frozen=True)
class Column:
    """A column by name. `needed`: always, or `when` something holds.

    `path` is how a saved record holds the value (`supplier.name`), `carries` are further fields that are in the cell, `takes`
    is the argument of a service that takes it, `refers` the file whose rows the cell names; each may be nothing. `empty` is
    what an empty cell says; if `unwritten`, such a value is written as an empty cell.
    """

    name: str
    kind: Kind
    help: str
    path: str
    takes: str
    needed: bool = False
    when: str = ""
    refers: str = ""
    empty: Any = None
    unwritten: bool = False
    carries: tuple[str, ...] = ()

    def value(self, record: Any) -> Any:
        """What a saved record holds. Where a step of the path leads nowhere there is no value, and the cell stays empty."""
        if not self.path:
            return None
        for part in self.path.split("."):
            try:
                record = record.get(part) if isinstance(record, dict) else getattr(record, part)
            except ObjectDoesNotExist:
                return None
            if record is None:
                return None
        return record

    def cell(self, value: Any) -> str:
        return "" if value is None or (self.unwritten and value == self.empty) else self.kind.write(value)


@dataclass(frozen=True)
class CsvFile:
    """A file: its columns in the order `save` writes them, and what one row is called.

    `named`: how a row is named by its cells (`{recipe} v{version}`). `models`: the record of a row first, then others that it
    describes. `fields`: which column a service means by a field that is not its argument; `*` is every other.
    """

    name: str
    noun: str
    named: str
    models: tuple[type[Model], ...]
    fields: Mapping[str, str]
    columns: tuple[Column, ...]

    @cached_property
    def by_name(self) -> dict[str, Column]:
        return {column.name: column for column in self.columns}

    @cached_property
    def key(self) -> tuple[str, ...]:
        """The columns that name a row."""
        return tuple(re.findall(r"{(\w+)}", self.named))

    def key_of(self, cells: Mapping[str, str]) -> str:
        return self.named.format_map(defaultdict(str, cells))

    def column(self, name: str | None) -> str:
        """The column that a service means by a field, or nothing."""
        word = self.fields.get(name or "", name or "")
        if not word or word in self.by_name:
            return word
        return next((each.name for each in self.columns if each.takes == word), self.fields.get("*", ""))

    def cells(self, record: Any, **worked_out: Any) -> Cells:
        """A record as a row. `worked_out` are values that the file knows better than the record does."""
        unknown = worked_out.keys() - self.by_name.keys()
        if unknown:
            raise KeyError(f"{self.name} has no column {', '.join(sorted(unknown))}")
        return {
            each.name: each.cell(worked_out[each.name] if each.name in worked_out else each.value(record))
            for each in self.columns
        }

    def rows(self, records: Iterable[Any], *order: str) -> Iterator[Cells]:
        """Records as rows, sorted here and not by the database, whose order of letters differs from one to the next."""
        return map(self.cells, sorted(records, key=attrgetter(*order)))


def sections() -> dict[str, list[str]]:
    """The lines of each section of `files.txt` by its heading."""
    parts = Path(__file__).with_name("files.txt").read_text("utf-8").split("\n## ")[1:]  # before them: what they mean
    return {heading: lines for heading, _, *lines in (part.strip().split("\n") for part in parts)}


def _column(line: str) -> Column:
    name, needed, kind_name, empty, path, takes, refers, about, *_ = [*map(str.strip, line.split("|")), *[""] * 7]
    kind = kinds.choice(KEYS) if kind_name == "key" else kinds.named(kind_name)
    path, *carries = path.split() or [name]
    path = "" if path == _NONE else path
    said, _, unwritten = empty.partition(" ")
    return Column(
        name=name,
        kind=kind,
        help=about,
        path=path,
        takes="" if takes == _NONE else takes or path.partition(".")[0],
        needed=needed == "yes",
        when="" if needed == "yes" else needed,
        refers=f"{refers}.csv" if refers else "",
        empty=kind.read(said) if said else kind.empty,
        unwritten=bool(unwritten),
        carries=tuple(carries),
    )


def _file(heading: str, lines: Iterable[str]) -> CsvFile:
    name, noun, named, models, fields, *_ = [*map(str.strip, heading.split("|")), ""]
    return CsvFile(
        name=name,
        noun=noun,
        named=named,
        models=tuple(kinds.MODELS[word] for word in models.split()),
        fields=dict(pair.split("=") for pair in fields.split()),
        columns=tuple(map(_column, lines)),
    )


KEYS = {column.name: column for column in map(_column, sections()[_KEYS])}
FILES = {file.name: file for file in (_file(*section) for section in sections().items() if "|" in section[0])}
