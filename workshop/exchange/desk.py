"""The state of one load: what was found by name so far, what was written, and what was refused.

A refusal undoes only its own rows (a savepoint) and the load goes on, so that one run names every bad row; the caller
throws the whole away when anything was refused.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TypeVar

from django.db import transaction

from costing.models import Batch, Channel, Customer, Fair, Job, Payment, RecipeStep, RecipeVersion, Sale
from inventory.errors import Refused, ShortStock, Taken
from inventory.models import Article, Material, Place, Posting, Skin, Supplier
from inventory.suppliers import services as suppliers
from workshop.exchange.parsing import Parsed, Row
from workshop.exchange.problems import Problem

T = TypeVar("T")


_FOLLOWS = " (An earlier row was refused, so this may follow from it.)"


class Leaning(Exception):  # noqa: N818 - no error of the row's own
    """The row names something whose own row was refused; it is not judged."""


class Desk:
    def __init__(self, tables: Mapping[str, Parsed]) -> None:
        self.tables = tables
        self.problems: list[Problem] = [problem for parsed in tables.values() for problem in parsed.problems]
        self.unchecked = 0
        self.written: Counter[str] = Counter()
        self.materials: dict[str, Material] = {}
        self.versions: dict[str, RecipeVersion] = {}
        self.batches: dict[str, Batch] = {}
        self.steps: dict[int, dict[str, RecipeStep]] = {}
        self.places: dict[str, Place] = {}
        self.tags: dict[str, str] = {}
        self._spoiled: set[tuple[str, str]] = {
            (file, name) for file, parsed in tables.items() for name in parsed.spoiled
        }
        self.ledger_broken = False
        self.channels: dict[str, Channel] = {}
        self.customers: dict[str, Customer] = {}
        self.jobs: dict[str, Job] = {}
        self.fairs: dict[str, Fair] = {}
        self.articles: dict[str, Article] = {}
        self.hides: dict[str, Skin] = {}
        self.packing: dict[str, tuple[Row, Posting]] = {}
        self.papers: dict[str, Row] = {}
        self.sales: dict[str, Sale] = {}
        self.receipts: dict[str, Payment] = {}
        self.receipt_papers: dict[str, Row] = {}
        self.series_broken = False

    def rows(self, file: str) -> tuple[Row, ...]:
        parsed = self.tables.get(file)
        return parsed.rows if parsed else ()

    @contextmanager
    def checking(self, *rows: Row) -> Iterator[None]:
        """Within this block a refusal becomes the problem of `rows`, and the load goes on."""
        try:
            yield
        except Leaning:
            self.unchecked += len(rows)
            self._spoil(rows)
        except Refused as refusal:
            self._blame(rows, refusal)
            if not isinstance(refusal, Taken):  # the name is good: it belongs to the earlier row
                self._spoil(rows)

    @contextmanager
    def writing(self, *rows: Row, count: int = 1, noun: str = "") -> Iterator[None]:
        """As `checking`, and a refusal also undoes what the block wrote; what stays is counted by its noun."""
        with self.checking(*rows):
            with transaction.atomic():
                yield
            self.written[noun or rows[0].table.noun] += count

    def complain(self, row: Row, reason: str, column: str = "") -> None:
        self.problems.append(row.problem(reason, column))
        self._spoil([row])

    def refuse_spoiled(self, row: Row, file: str = "") -> None:
        """For rows that belong together under one name (in another `file` too): one was refused, so no other is judged."""
        if (file or row.table.file, row.key()) in self._spoiled:
            raise Leaning

    def material(self, row: Row) -> Material:
        return self.found(row, "material", self.materials, "materials.csv", row["material"])

    def of_own_row(self, row: Row) -> Material:
        """The material that this row itself describes; when it was refused, its opening is not judged."""
        if row["code"] not in self.materials:
            raise Leaning
        return self.materials[row["code"]]

    def version(self, row: Row) -> RecipeVersion:
        return self.found(row, "recipe", self.versions, "recipes.csv", f"{row['recipe']} v{row['version']}")

    def batch(self, row: Row) -> Batch | None:
        return self.named_batch(row) if row["batch"] else None

    def named_batch(self, row: Row) -> Batch:
        return self.found(row, "batch", self.batches, "batches.csv", row["batch"])

    def place(self, row: Row, column: str = "place") -> Place | None:
        return self.found(row, column, self.places, "places.csv", row[column]) if row[column] else None

    def skins(self, row: Row, tags: Iterable[str], column: str = "skins") -> list[str]:
        return [self.found(row, column, self.tags, "skins.csv", tag) for tag in tags]

    def supplier(self, row: Row) -> Supplier | None:
        """By name, made when new, as everywhere in the program. Not kept: an undone row undoes its supplier too."""
        return suppliers.named(name=row["supplier"]) if row["supplier"] else None

    def found(self, row: Row, column: str, known: Mapping[str, T], file: str, name: str) -> T:
        if (file, name) in self._spoiled:
            raise Leaning
        if name in known:
            return known[name]
        near = difflib.get_close_matches(name, known, n=1, cutoff=0.6)
        hint = f"did you mean {near[0]}?" if near else "add it there, or check how it is written."
        raise Refused(f"{file} has no {name}; {hint}", field=column)

    def _blame(self, rows: Sequence[Row], refusal: Refused) -> None:
        follows = _FOLLOWS if self.ledger_broken and isinstance(refusal, ShortStock) else ""
        for row in self._blamed(rows, refusal):
            self.problems.append(row.problem(refusal.message + follows, row.table.column(refusal.field)))

    def _spoil(self, rows: Iterable[Row]) -> None:
        self._spoiled |= {(row.table.file, row.key()) for row in rows if row.table.key}

    def _blamed(self, rows: Sequence[Row], refusal: Refused) -> Sequence[Row]:
        """The rows at fault: those of each short material, the one whose cell the refusal speaks of, else the first."""
        if isinstance(refusal, ShortStock):
            short = {name for name, _, _ in refusal.lines}
            codes = {code for code, material in self.materials.items() if material.name in short}
            return [row for row in rows if row["material"] in codes]
        column = rows[0].table.column(refusal.field)
        named = [row for row in rows if row.cells.get(column) and row.cells[column] in refusal.message.split()]
        return named[:1] or rows[:1]
