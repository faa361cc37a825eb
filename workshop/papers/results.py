"""Owns the paper of a year's results: two profits with the bridge, where the stock went, hours, tables that flow over pages.

Figures come in exact and are printed exact. Must not read any record nor add anything up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing
from reportlab.lib.units import mm

from workshop.papers import charts, flow, fonts, kit, wording
from workshop.papers.charts import Row
from workshop.papers.flow import Piece
from workshop.papers.kit import Box

Cell = str | Decimal | date | int | None


_LINE = 5.6 * mm


_TWO_LINES = 8.4 * mm


_SIZE, _HEAD = 9.0, 8.0


_GAP = 2.5 * mm


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
    bridge: tuple[Row, tuple[Row, ...], Row]
    tables: tuple[Table, ...]
    written_on: date


def render(paper: ResultsPaper) -> bytes:
    """The results as PDF on A4."""
    fonts.register()
    name = f"Results {paper.year}"
    pieces = [_title(paper, name), *_chart(paper)]
    for table in paper.tables:
        pieces += _table(table)
    foot = f"{paper.title} · {name} · in {paper.currency} · written {wording.day(paper.written_on)}"
    return flow.document(pieces, kit.A4, title=name, author=paper.title, foot=foot)


def _title(paper: ResultsPaper, name: str) -> Piece:
    def draw(on: Any, box: Box) -> None:
        owner, box = box.cut_top(7 * mm)
        kit.text(on, owner, paper.title, size=11, smallest=7, one_line=True)
        heading, _ = box.cut_top(10 * mm)
        kit.text(on, heading, name, size=19, smallest=12, bold=True)

    return Piece(20 * mm, draw)


def _chart(paper: ResultsPaper) -> list[Piece]:
    start, steps, end = paper.bridge
    drawing = charts.bridge(start, steps, end, unit=paper.currency, width=flow.room(kit.A4).width)
    return [Piece(drawing.height, lambda on, box: _drawn(on, box, drawing))]


def _drawn(on: Any, box: Box, drawing: Drawing) -> None:
    renderPDF.draw(drawing, on, box.x, box.y)


def _table(table: Table) -> list[Piece]:
    if not table.rows:
        return []
    digits = [_digits([row[at] for row in table.rows]) for at in range(len(table.head))]
    figures = [not any(isinstance(row[at], str) for row in table.rows) for at in range(len(table.head))]
    head = _row(table, table.head, figures, digits, bold=True, thick=1)
    rows = [_row(table, row, figures, digits, bold=at in table.sums, head=head) for at, row in enumerate(table.rows)]
    # A ledger that adds up stays on one page; a list may flow.
    kept = sum(row.height for row in rows) if table.sums else rows[0].height
    pieces = [_heading(table, head.height + kept)]
    pieces.append(Piece(head.height, head.draw, follows=rows[0].height))
    return [*pieces, *rows]


def _digits(cells: Sequence[Cell]) -> int:
    return wording.written([cell for cell in cells if isinstance(cell, Decimal)])


def _heading(table: Table, follows: float) -> Piece:
    noted = 5 * mm if table.note else 0

    def draw(on: Any, box: Box) -> None:
        _, place = box.cut_top(0, gap=6 * mm)
        words, rest = place.cut_top(8 * mm)
        kit.text(on, words, table.heading, size=12, smallest=8, bold=True, middle=True)
        if table.note:
            kit.text(on, rest, table.note, size=8, smallest=6, one_line=True)

    return Piece(14 * mm + noted, draw, follows=follows)


def _row(
    table: Table,
    cells: Sequence[Cell],
    figures: Sequence[bool],
    digits: Sequence[int],
    *,
    bold: bool = False,
    thick: float = 0.25,
    head: Piece | None = None,
) -> Piece:
    texts = [_text(cell, places) for cell, places in zip(cells, digits, strict=True)]
    heads = thick >= 1

    def draw(on: Any, box: Box) -> None:
        for place, text, figure in zip(box.columns(table.widths, _GAP), texts, figures, strict=True):
            kit.text(
                on,
                place,
                text,
                size=_HEAD if heads else _SIZE,
                smallest=_HEAD - 1 if heads else 4.5,
                bold=bold,
                whole="figure" if figure and not heads else "",
                one_line=not heads,
                align="right" if figure else "left",
                middle=True,
            )
        on.setLineWidth(thick)
        on.line(box.x, box.y, box.right, box.y)

    return Piece(_TWO_LINES if heads else _LINE, draw, head)


def _text(cell: Cell, places: int) -> str:
    if cell is None:
        return "–"
    if isinstance(cell, Decimal):
        return wording.number(cell, places)
    if isinstance(cell, date):
        return wording.day(cell)
    return str(cell)
