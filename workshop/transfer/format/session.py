"""The state of one load: what was found by name so far, what was written, and what was refused.

A refusal undoes only its own rows (a savepoint) and the load goes on, so that one run names every bad row; the caller
throws the whole away when anything was refused.
"""

from __future__ import annotations

import difflib
import itertools
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar

from django.db import transaction

from inventory.errors import Refused, ShortStock, Taken
from inventory.models import Posting, Supplier
from inventory.suppliers import services as suppliers
from workshop.transfer.format.album import Album
from workshop.transfer.format.columns import Column
from workshop.transfer.format.problems import Problem
from workshop.transfer.format.rows import CsvRow, TypedFile

T = TypeVar("T")
_FOLLOWS = " (An earlier row was refused, so this may follow from it.)"


class Leaning(Exception):  # noqa: N818 - no error of the row's own
    """The row names something whose own row was refused; it is not judged."""


class ImportSession:
    """`known` are the records by file and name; `waiting` are rows kept for a sale or a payment that is written later."""

    def __init__(self, files: Mapping[str, TypedFile]) -> None:
        self.files = files
        self.problems: list[Problem] = [problem for typed in files.values() for problem in typed.problems]
        self.unchecked = 0
        self.written: Counter[str] = Counter()
        self.known: defaultdict[str, dict[str, Any]] = defaultdict(dict)
        self.waiting: defaultdict[str, dict[str, CsvRow]] = defaultdict(dict)
        self.packing: dict[str, tuple[CsvRow, Posting]] = {}
        self.bills: Album | None = None
        self.broken: set[str] = set()
        self._suppliers: dict[str, Supplier] = {}
        self._spoiled: set[tuple[str, str]] = {(file, name) for file, typed in files.items() for name in typed.spoiled}

    def rows(self, file: str) -> tuple[CsvRow, ...]:
        typed = self.files.get(file)
        return typed.rows if typed else ()

    def by_name(self, file: str) -> dict[str, list[CsvRow]]:
        """The rows of a file that have one name, as of one paper or one recipe's version."""
        found: dict[str, list[CsvRow]] = {}
        for row in self.rows(file):
            found.setdefault(row.name, []).append(row)
        return found

    def once(self, file: str, says: str) -> Iterator[CsvRow]:
        """The rows of a file one by one; one whose name an earlier row has is refused instead."""
        first: dict[str, int] = {}
        for row in self.rows(file):
            number = first.setdefault(row.name, row.number)
            if number == row.number:
                yield row
            else:
                self.complain(row, says.format(f"It is in row {number}"), row.file.key[0])

    def agree(self, rows: Sequence[CsvRow], names: Iterable[str], noun: str, *, on_each: bool = False) -> bool:
        """Whether no later row of one thing says another than its first row does; `on_each` must say it again.

        Each cell that says another is refused.
        """
        first, *others = rows
        again = ", the same on each row" if on_each else ""
        before = len(self.problems)
        for row, name in itertools.product(others, names):
            if (on_each or row.cells.get(name)) and row[name] != first[name]:
                self.complain(row, f"It differs from row {first.number}. One {noun} has one {name}{again}.", name)
        return len(self.problems) == before

    @contextmanager
    def checking(self, *rows: CsvRow) -> Iterator[None]:
        """Within this block a refusal becomes the problem of `rows`, and the load goes on."""
        try:
            yield
        except Leaning:
            self.unchecked += len(rows)
            self._spoil(rows)
        except Refused as refusal:
            follows = _FOLLOWS if "ledger" in self.broken and isinstance(refusal, ShortStock) else ""
            for row in self._blamed(rows, refusal):
                self.problems.append(row.problem(str(refusal) + follows, row.file.column(refusal.field)))
            if not isinstance(refusal, Taken):  # the name is good: it belongs to the earlier row
                self._spoil(rows)

    @contextmanager
    def writing(self, *rows: CsvRow, count: int = 1, noun: str = "") -> Iterator[None]:
        """As `checking`, and a refusal also undoes what the block wrote; what stays is counted by its noun."""
        with self.checking(*rows):
            try:
                with transaction.atomic():
                    yield
            except BaseException:
                self._suppliers.clear()
                raise
            self.written[noun or rows[0].file.noun] += count

    def each(self, file: str, write: Callable[..., Any]) -> None:
        """For a file whose rows are one call of a service each, and maybe known by name afterwards."""
        for row in self.rows(file):
            with self.writing(row):
                self.keep(row, write(**self.arguments(row)))

    def checked(self, rows: Sequence[CsvRow], read: Callable[[ImportSession, CsvRow], T]) -> list[T] | None:
        """What each of the rows of one entry says; None when one was refused, so that each bad row is named by itself."""
        found = []
        for row in rows:
            with self.checking(row):
                found.append(read(self, row))
        return found if len(found) == len(rows) else None

    def arguments(self, row: CsvRow, *but: str) -> dict[str, Any]:
        """What the columns of a row, but these, say to a service. An argument that it does not know is an error, so that
        no column is dropped unseen."""
        return {
            column.takes: self.said(row, column)
            for column in row.file.columns
            if column.takes and column.name not in but
        }

    def said(self, row: CsvRow, column: Column) -> Any:
        """What a cell says to a service: the record it names, or its value in the service's own measure."""
        value = row[column.name]
        if column.refers:
            return self.named(row, column.name)
        return value if value is None or column.kind.build is None else column.kind.build(value)

    def keep(self, row: CsvRow, record: Any) -> None:
        if row.file.key:
            self.known[row.file.name][row.name] = record

    def bill(self, row: CsvRow) -> bytes | None:
        """The content of the bill that a row names."""
        name = row["bill"]
        return self.bills.content(name) if name and self.bills else None

    def keep_bill(self, name: str) -> None:
        """The name under which the store took a bill in."""
        if self.bills and name:
            self.bills.kept.add(name)

    def complain(self, row: CsvRow, reason: str, column: str = "") -> None:
        self.problems.append(row.problem(reason, column))
        self._spoil([row])

    def refuse_spoiled(self, row: CsvRow, file: str = "") -> None:
        """For rows that belong together under one name (in another `file` too): one was refused, so no other is judged."""
        if {(file or row.file.name, name) for name in (row.name, row.key())} & self._spoiled:
            raise Leaning

    def named(self, row: CsvRow, column: str) -> Any:
        """The record that a cell names, None for an empty one; of several names the names, each of which was found.

        A supplier is made when new, as everywhere in the program. It is kept until a row is undone, which undoes its supplier too.
        """
        file, value = row.file.by_name[column].refers, row[column]
        if isinstance(value, tuple):
            for name in value:
                self.find(file, name, column)
            return list(value)
        if not value:
            return None
        if file != "suppliers.csv":
            return self.find(file, value, column)
        if value not in self._suppliers:
            self._suppliers[value] = suppliers.named(name=value)
        return self._suppliers[value]

    def find(self, file: str, name: str, column: str, among: Mapping[str, Any] | None = None) -> Any:
        """The record of that name in a file, or `among` some of it."""
        known = self.known[file] if among is None else among
        if (file, name) in self._spoiled:
            raise Leaning
        if name in known:
            return known[name]
        near = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
        hint = f"did you mean {near[0]}?" if near else "add it there, or check how it is written."
        raise Refused(f"{file} has no {name}; {hint}", field=column)

    def _spoil(self, rows: Iterable[CsvRow]) -> None:
        self._spoiled |= {(row.file.name, name) for row in rows if row.file.key for name in (row.name, row.key())}

    def _blamed(self, rows: Sequence[CsvRow], refusal: Refused) -> Sequence[CsvRow]:
        """The rows at fault: those of each short material, the one whose cell the refusal speaks of, else the first."""
        if isinstance(refusal, ShortStock):
            short = {name for name, _, _ in refusal.lines}
            codes = {code for code, material in self.known["materials.csv"].items() if material.name in short}
            return [row for row in rows if row["material"] in codes]
        column = rows[0].file.column(refusal.field)
        named = [row for row in rows if row.cells.get(column) and row.cells[column] in str(refusal).split()]
        return named[:1] or rows[:1]
