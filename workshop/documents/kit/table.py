"""Owns the one table of all papers: a head that is repeated, rows as tall as their words, sums carried from page to page.

Words wrap in their column; a figure keeps to one line and is never cut. Must not know what the columns mean.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import accumulate, pairwise
from typing import Any, Generic, TypeVar

from reportlab.lib.colors import black
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Table as Grid

from workshop.documents.kit import flow, tagged
from workshop.documents.kit.page import Box

_GUTTER = 3 * mm
_PAD = 1.2 * mm
_EMPTY = 12.0  # the library's own, of a cell without words
_ENDLESS = 72000.0
Item = TypeVar("Item")

# Words, words with smaller ones under them, or something of the kit's own to draw.
Cell = Any
Carried = dict[int, Decimal]


@dataclass(frozen=True)
class Column(Generic[Item]):
    """A column, its share of the width, and what an item says in it: `of` its words or `amount`, which is carried over.

    `figure`: one line, flush right, as every amount; `code`: one line, a number that is never broken. `write`: may be left open
    for a pencil. `tick`: a square to tick; a cell with any words in it is ticked already. Rows with either are tall enough for
    a hand.
    """

    title: str
    share: float
    of: Callable[[Item], Cell] = lambda item: ""
    figure: bool = False
    code: bool = False
    write: bool = False
    tick: bool = False
    bold: bool = False
    amount: Callable[[Item], Decimal | None] | None = None

    @property
    def words(self) -> bool:
        return not (self.figure or self.code or self.tick or self.amount)

    def cell(self, item: Item, write: Callable[[Decimal], str]) -> Cell:
        if self.amount is None:
            return self.of(item)
        amount = self.amount(item)
        return "" if amount is None else write(amount)


@dataclass(frozen=True)
class TableRow:
    """A row's cells and the amounts in it by column; a bold one is a sum and stays with the row above it."""

    cells: Sequence[Cell]
    bold: bool = False
    amounts: Sequence[tuple[int, Decimal]] = ()


class _Grid(Flowable):
    """The cells of a table whose rows are measured; the library lays them out where they are drawn, and not before."""

    def __init__(
        self, cells: list[list[Cell]], widths: list[float], heights: list[float], style: Any, told: Any
    ) -> None:
        super().__init__()
        self.heights, self.height = heights, sum(heights)
        self._laid = cells, widths, style, told

    def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803 - the library's own
        cells, widths, style, told = self._laid
        grid = Grid(cells, widths, self.heights, style=style, renderCB=told)
        grid.wrapOn(canvas, sum(widths), self.height)
        grid.drawOn(canvas, x, y, _sW)


def _tall(on: Any, cell: Cell, width: float) -> float:
    """How tall what stands in a cell is; white before the first and after the last part is none of it."""
    if isinstance(cell, str):
        return _EMPTY
    parts = cell if isinstance(cell, list | tuple) else [cell]
    between = sum(float(upper.getSpaceAfter() + lower.getSpaceBefore()) for upper, lower in pairwise(parts))
    return between + sum(float(part.wrapOn(on, width, _ENDLESS)[1]) for part in parts)


class Table(Flowable):
    """A row for each item under a head, then `sums`; after a title, before `closing`, which stands with the last row.

    `write` writes the amounts. `boxed` rules every cell, for what is filled in by hand.
    """

    def __init__(
        self,
        columns: Sequence[Column[Item]],
        items: Sequence[Item],
        *,
        title: str = "",
        note: str = "",
        write: Callable[[Decimal], str] = str,
        sums: Sequence[TableRow] = (),
        closing: Sequence[Any] = (),
        boxed: bool = False,
        size: float = flow.SIZE,
    ) -> None:
        super().__init__()
        self.columns, self.title, self.note = tuple(columns), title, note
        self.write, self.closing, self.boxed, self.size = write, tuple(closing), boxed, size
        self.rows = [self._set(row) for row in (*map(self._row, items), *sums)]
        self.brought: Carried = {}
        self.carried: Carried = {}
        # How tall each row is where the table is so wide.
        self._measured, self._tall = 0.0, list[float]()
        # The table that this is a part of, and whether it is the rest of it.
        self.whole: object = self
        self.rest = False
        self.spaceBefore = 6 * mm if title else 4 * mm

    def _row(self, item: Any) -> TableRow:
        amounts = ((at, column.amount(item)) for at, column in enumerate(self.columns) if column.amount)
        cells = [column.cell(item, self.write) for column in self.columns]
        return TableRow(cells, amounts=[(at, amount) for at, amount in amounts if amount is not None])

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        heading = [flow.words(self.title, size=12, bold=True, level=2)] if self.title else []
        heading += [flow.words(self.note, size=8)] if self.note else []
        grid, self._lead = self._grid(width), len(heading)
        self._parts = [*heading, grid, *self.closing]
        self._heights = [
            (grid.height if part is grid else part.wrapOn(self.canv, width, height)[1])
            + (part.getSpaceBefore() if at else 0)
            for at, part in enumerate(self._parts)
        ]
        self.width, self.height = width, sum(self._heights)
        return width, self.height

    def draw(self) -> None:
        y = self.height
        for part, tall in zip(self._parts, self._heights, strict=True):
            y -= tall
            part.drawOn(self.canv, 0, y)

    def split(self, width: float, height: float) -> list[Table]:
        """As many rows as there is room for, and a table of the rest; nothing where not even one row has room."""
        sums = any(column.amount for column in self.columns)
        if sums and not self.carried:
            self.carried = self._running(self.rows)  # for the room that its row takes
        self.wrap(width, height)
        heights = self._parts[self._lead].heights
        top, end = 1 + bool(self.brought), len(heights) - bool(self.carried)
        room = height - sum(self._heights[: self._lead]) - sum(heights[:top]) - sum(heights[end:]) + 0.01
        # The last row stays with what closes the table, and a sum with the row above it.
        at = bisect_right(list(accumulate(heights[top:end])), room)
        at = min(at, len(self.rows) - 1)
        while at > 0 and self.rows[at].bold:
            at -= 1
        self.carried = {}
        if at < 1:
            return []
        first, rest = self._part(0, at), self._part(at, len(self.rows))
        first.title, first.note, first.brought, rest.closing = self.title, self.note, self.brought, self.closing
        first.spaceBefore, rest.spaceBefore = self.spaceBefore, 0
        first.rest, rest.rest = self.rest, True
        if sums:
            first.carried = rest.brought = self._running(self.rows[:at])
        return [first, rest]

    def _part(self, start: int, end: int) -> Table:
        made = Table(self.columns, (), write=self.write, boxed=self.boxed, size=self.size)
        made.whole, made.rows = self.whole, self.rows[start:end]
        made._measured, made._tall = self._measured, self._tall[start:end]
        return made

    def _running(self, rows: Sequence[TableRow]) -> Carried:
        running = dict(self.brought)
        for column, amount in (pair for row in rows for pair in row.amounts):
            running[column] = running.get(column, Decimal(0)) + amount
        return running

    def _grid(self, width: float) -> _Grid:
        """The head, what was brought forward, the rows, what is carried over. Each row is measured once for a width: of the rest
        of a long table nothing more is asked on each further page."""
        wide = [box.width + _GUTTER for box in Box(0, 0, width, 0).columns([c.share for c in self.columns], _GUTTER)]
        wide[-1] -= _GUTTER
        free = [*(each - _GUTTER for each in wide[:-1]), wide[-1]]
        pad = 0 if self.boxed else _PAD
        by_hand = any(column.write or column.tick for column in self.columns)
        least = flow.WRITE if self.boxed or by_hand else 0

        def tall(rows: Sequence[TableRow]) -> list[float]:
            found = [max(_tall(self.canv, *each) for each in zip(row.cells, free, strict=True)) for row in rows]
            return [max(0 if row.bold else least, each + 2 * pad) for row, each in zip(rows, found, strict=True)]

        if width != self._measured:
            self._measured, self._tall = width, tall(self.rows)
        said = self.canv.said  # the page knows in which words its paper is
        brought = self._sum(said("kit.brought_forward"), self.brought)
        carried = self._sum(said("kit.carried_over"), self.carried)
        head = [self._head(column) for column in self.columns]
        tops = max(_tall(self.canv, *each) for each in zip(head, free, strict=True)) + 2 * _PAD
        rows = [*brought, *self.rows, *carried]
        style = [
            *flow.plain(pad),
            *flow.plain(_PAD, row=0),
            ("RIGHTPADDING", (0, 0), (-2, -1), _GUTTER),
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
            ("VALIGN", (0, 1), (-1, -1), "MIDDLE" if by_hand else "TOP"),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, black),
            ("LINEBELOW", (0, 0), (-1, 0), 1, black),
            *(("LINEBELOW", (0, at), (-1, at), 0.6, black) for at, row in enumerate(rows, start=1) if row.bold),
        ]
        if self.boxed:
            style.append(("GRID", (0, 1), (-1, -1), 0.5, black))
        told = tagged.Cells(self._role, self.whole, again=self.rest)
        cells = [head, *(list(row.cells) for row in rows)]
        return _Grid(cells, wide, [tops, *tall(brought), *self._tall, *tall(carried)], style, told)

    def _role(self, row: int, column: int) -> str:
        return "TD" if row or not self.columns[column].title else "Column"

    def _sum(self, words: str, amounts: Carried) -> list[TableRow]:
        """A row that names sums in the widest column of words; none where there are none."""
        if not amounts:
            return []
        cells = [self.write(amounts[at]) if at in amounts else "" for at in range(len(self.columns))]
        free = [at for at, column in enumerate(self.columns) if column.words]
        cells[max(free, key=lambda at: self.columns[at].share)] = words
        return [self._set(TableRow(cells, bold=True))]

    def _head(self, column: Column[Any]) -> Any:
        right = column.figure or column.amount
        return flow.words(column.title, size=flow.SMALL, bold=True, align="right" if right else "left")

    def _set(self, row: TableRow) -> TableRow:
        """The row with its words set; a row that is set already stays as it is."""
        cells = [self._cell(column, cell, row.bold) for column, cell in zip(self.columns, row.cells, strict=True)]
        return replace(row, cells=cells)

    def _cell(self, column: Column[Any], cell: Cell, bold: bool) -> Any:
        """A figure takes one line; words take as many as they need."""
        if column.tick and isinstance(cell, str):
            return "" if bold else flow.tick(ticked=bool(cell))
        if not isinstance(cell, str | tuple):
            return cell
        main, small = (cell, "") if isinstance(cell, str) else cell
        lines = [(main, self.size, bold or column.bold), (small, self.size - 1.5, False)]
        if column.words:
            return [flow.words(text, size=size, bold=strong) for text, size, strong in lines if text]
        return [flow.figure(text, size=size, bold=strong, left=column.code) for text, size, strong in lines if text]
