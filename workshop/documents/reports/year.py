"""Owns the paper of a year's results: two profits with the bridge, where the stock went, hours, tables that flow over pages.

Figures come in exact and are printed exact. Must not read any record nor add anything up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.documents.charts import charts
from workshop.documents.charts.charts import Bar
from workshop.documents.kit import flow, wording
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, TableRow
from workshop.documents.kit.table import Table as PaperTable

Cell = str | Decimal | date | int | None


@dataclass(frozen=True)
class Table:
    """`widths` are shares of the page; a cell that is a figure stands to the right. `sums` are rows set bold, by index."""

    heading: str
    head: tuple[str, ...]
    widths: tuple[float, ...]
    rows: tuple[tuple[Cell, ...], ...]
    sums: frozenset[int] = frozenset()
    note: str = ""


@dataclass(frozen=True)
class ResultsPaper:
    """A workshop's year in one currency. `bridge` is the one profit, the steps, the other profit."""

    title: str
    year: int
    currency: str
    bridge: tuple[Bar, tuple[Bar, ...], Bar]
    tables: tuple[Table, ...]
    written_on: date


def render(paper: ResultsPaper, size: Paper = A4) -> bytes:
    """The results as PDF."""
    name = f"Results {paper.year}"
    start, steps, end = paper.bridge
    story = [
        flow.words(paper.title, size=11),
        flow.words(name, size=19, bold=True, after=5 * mm),
        charts.bridge(start, steps, end, unit=paper.currency, width=flow.room(size).width),
        *(part for table in paper.tables for part in _table(table)),
    ]
    foot = f"{paper.title} · {name} · in {paper.currency} · printed {wording.day(paper.written_on)}"
    return flow.document(story, size, title=name, author=paper.title, foot=foot)


def _table(table: Table) -> flow.Story:
    if not table.rows:
        return []
    digits = [_digits(cells) for cells in zip(*table.rows, strict=True)]
    figures = [not any(isinstance(cell, str) for cell in cells) for cells in zip(*table.rows, strict=True)]
    columns: list[Column[None]] = [
        Column(title, share, figure=figure)
        for title, share, figure in zip(table.head, table.widths, figures, strict=True)
    ]
    rows = [
        TableRow([_text(cell, places) for cell, places in zip(row, digits, strict=True)], bold=at in table.sums)
        for at, row in enumerate(table.rows)
    ]
    made = PaperTable(columns, (), sums=rows, title=table.heading, note=table.note)
    # A ledger that adds up stays on one page; a list may flow.
    return [flow.together(made) if table.sums else made]


def _digits(cells: Sequence[Cell]) -> int:
    return wording.written([cell for cell in cells if isinstance(cell, Decimal)])


def _text(cell: Cell, places: int) -> str:
    if cell is None:
        return "–"
    if isinstance(cell, Decimal):
        return wording.number(cell, places)
    if isinstance(cell, date):
        return wording.day(cell)
    return str(cell)
