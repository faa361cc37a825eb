"""Owns tables that run over pages: a head that is repeated, rows as tall as their words, and sums carried from page to page.

Words wrap in their column; a figure keeps to one line and is never cut. Must not know what the columns mean.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from reportlab.lib.units import mm

from workshop.papers import fonts, kit
from workshop.papers.flow import Piece
from workshop.papers.kit import Box
from workshop.papers.text import Block, tidy, wrap

SIZE, SMALL = 9.0, 7.5


TICK = 5 * mm


CARRIED, BROUGHT = "Carried over", "Brought forward"


_GUTTER = 3 * mm


_PAD = 1.2 * mm


_WRITE = 8 * mm


Cell = str | tuple[str, str]


@dataclass(frozen=True)
class Column:
    """A column and its share of the width. `figure`: one line, flush right; `code`: one line, a number that is never broken.

    `write`: may be left open for a pencil.

    `tick`: a square to tick; a cell with any words in it is ticked already. Rows with either are tall enough for a hand.
    """

    title: str
    share: float
    figure: bool = False
    code: bool = False
    write: bool = False
    tick: bool = False


@dataclass(frozen=True)
class Row:
    """A row's cells, each the words or (words, small words under them). `amounts` by column are what is carried over."""

    cells: tuple[Cell, ...]
    amounts: dict[int, Decimal] | None = None
    bold: bool = False


class Table:
    """Columns at one width."""

    def __init__(self, columns: Sequence[Column], width: float) -> None:
        fonts.register()
        self.columns = tuple(columns)
        self.boxes = Box(0, 0, width, 0).columns([column.share for column in columns], _GUTTER)

    @property
    def by_hand(self) -> bool:
        """Whether its rows are ticked or written on."""
        return any(column.write or column.tick for column in self.columns)

    @property
    def head(self) -> Piece:
        blocks = [
            Block(tuple(wrap(column.title, fonts.BOLD, SMALL, box.width)), fonts.BOLD, SMALL)
            for column, box in zip(self.columns, self.boxes, strict=True)
        ]
        height = max(block.height for block in blocks) + 2 * _PAD

        def draw(on: Any, box: Box) -> None:
            for column, place, block in zip(self.columns, self._over(box), blocks, strict=True):
                low = Box(place.x, box.y + _PAD, place.width, block.height)
                kit.put(on, low, block, align="right" if column.figure else "left")
            _rule_below(on, box, 1)

        return Piece(height, draw)

    def row(
        self,
        cells: Sequence[Cell],
        *,
        bold: bool = False,
        thick: float = 0.25,
        follows: float = 0,
        over: tuple[Piece, Piece] | None = None,
        head: Piece | None = None,
        by_hand: bool | None = None,
    ) -> Piece:
        """One row, as tall as its words; taller and with its squares where it is ticked or written on (`by_hand`)."""
        by_hand = self.by_hand if by_hand is None else by_hand
        texts = [(cell, "") if isinstance(cell, str) else cell for cell in cells]
        blocks = [
            self._blocks(index, main, small, bold) if not self._drawn(index) else []
            for index, (main, small) in enumerate(texts)
        ]
        tallest = max((sum(block.height for block in each) for each in blocks), default=0.0)
        if by_hand:
            tallest = max(tallest, _WRITE - 2 * _PAD)
        height = tallest + 2 * _PAD

        def draw(on: Any, box: Box) -> None:
            for index, place in enumerate(self._over(box)):
                if by_hand or not self._drawn(index):
                    self._cell(on, place, index, texts[index][0], blocks[index], bold, by_hand)
            _rule_below(on, box, thick)

        return Piece(height, draw, head, follows, over)

    def pieces(
        self, rows: Sequence[Row], *, write: Callable[[Decimal], str] = str, closing: Sequence[Piece] = ()
    ) -> list[Piece]:
        """The head, the rows, and under the last one the `closing` pieces, which never stand alone on a page."""
        head = self.head
        made: list[Piece] = []
        running: dict[int, Decimal] = {}
        carried = self._carry(CARRIED, running, write, head).height if any(row.amounts for row in rows) else 0.0
        for index, row in enumerate(rows):
            over = None
            if index and row.amounts:
                over = (self._carry(CARRIED, running, write, head), self._carry(BROUGHT, running, write, head))
            last = index == len(rows) - 1
            follows = sum(piece.height for piece in closing) if last else carried
            made.append(self.row(row.cells, bold=row.bold, follows=follows, over=over, head=head))
            for column, amount in (row.amounts or {}).items():
                running[column] = running.get(column, Decimal(0)) + amount
        first = made[0].height + made[0].follows if made else 0.0
        return [Piece(head.height, head.draw, follows=first), *made, *closing]

    def _carry(self, words: str, running: dict[int, Decimal], write: Callable[[Decimal], str], head: Piece) -> Piece:
        first = next(
            index for index, column in enumerate(self.columns) if not (column.figure or column.code or column.tick)
        )
        wide = max(range(first, len(self.columns)), key=lambda index: self._words_width(index))
        cells = ["" for _ in self.columns]
        cells[wide] = words
        for column, amount in running.items():
            cells[column] = write(amount)
        return self.row(cells, bold=True, thick=0.6, head=head, by_hand=False)

    def _words_width(self, index: int) -> float:
        column = self.columns[index]
        return 0 if column.figure or column.code or self._drawn(index) else self.boxes[index].width

    def _drawn(self, index: int) -> bool:
        return self.columns[index].tick

    def _blocks(self, index: int, main: str, small: str, bold: bool) -> list[Block]:
        """A figure takes one line; words take as many as they need."""
        if self.columns[index].figure or self.columns[index].code:
            return [Block((main,), fonts.REGULAR, SIZE), *([Block((small,), fonts.REGULAR, SMALL)] if small else [])]
        font, width = fonts.BOLD if bold else fonts.REGULAR, self.boxes[index].width
        found = [Block(tuple(wrap(tidy(main), font, SIZE, width)), font, SIZE)]
        if small:
            found.append(Block(tuple(wrap(tidy(small), fonts.REGULAR, SMALL, width)), fonts.REGULAR, SMALL))
        return [block for block in found if block.lines]

    def _over(self, box: Box) -> list[Box]:
        return [Box(box.x + each.x, box.y, each.width, box.height) for each in self.boxes]

    def _cell(
        self, on: Any, box: Box, index: int, main: str, blocks: Sequence[Block], bold: bool, by_hand: bool
    ) -> None:
        column = self.columns[index]
        if column.tick:
            tick(on, Box(box.x, box.y + (box.height - TICK) / 2, TICK, TICK), ticked=bool(main))
            return
        tall = sum(block.height for block in blocks)
        pad = (box.height - tall) / 2 if by_hand else _PAD
        rest = Box(box.x, box.y, box.width, box.height - pad)
        for block in blocks:
            place, rest = rest.cut_top(block.height)
            if column.figure or column.code:
                figure(on, place, block.lines[0], size=block.size, bold=bold, left=column.code)
            else:
                kit.put(on, place, block)


def figure(on: Any, box: Box, words: str, *, size: float = SIZE, bold: bool = False, left: bool = False) -> None:
    """A figure, flush right on one line, or a number flush left; refused rather than cut."""
    if words:
        what, align = ("number", "left") if left else ("figure", "right")
        kit.text(on, box, words, size=size, smallest=4, bold=bold, whole=what, one_line=True, align=align)


def tick(on: Any, box: Box, *, ticked: bool = False) -> None:
    """A square to tick, or one with its tick."""
    kit.tick_box(on, box.x, box.y, box.width)
    if ticked:
        on.setLineWidth(1.6)
        low = box.x + box.width * 0.42, box.y + box.height * 0.22
        on.line(box.x + box.width * 0.18, box.y + box.height * 0.5, *low)
        on.line(*low, box.x + box.width * 0.84, box.y + box.height * 0.82)


def _rule_below(on: Any, box: Box, thickness: float) -> None:
    on.setLineWidth(thickness)
    on.line(box.x, box.y, box.right, box.y)
