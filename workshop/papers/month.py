"""Owns the month report: what was on the shelf, came in, was used and is left, by material, and what each batch took.

Figures come in exact and are printed exact; lines that do not add up are refused. Must not read any record.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing
from reportlab.lib.units import mm

from workshop.papers import charts, flow, fonts, kit, wording
from workshop.papers.errors import DoesNotAddUp
from workshop.papers.flow import Piece
from workshop.papers.kit import Box, Paper
from workshop.papers.wording import number, places, written

COLUMNS = ("Opening", "Received", "Used", "Other", "Closing")


@dataclass(frozen=True)
class MonthLine:
    """One material's month. Received and used count up, other (counts, write-offs, own use) carries its sign:

    opening + received − used + other = closing, for the quantity and for the value.
    """

    code: str
    name: str
    unit: str
    opening: Decimal
    received: Decimal
    used: Decimal
    other: Decimal
    closing: Decimal
    opening_value: Decimal
    received_value: Decimal
    used_value: Decimal
    other_value: Decimal
    closing_value: Decimal

    def __post_init__(self) -> None:
        for what, row in (("quantity", self.quantities), ("value", self.values)):
            opening, received, used, other, closing = row
            expected = opening + received - used + other
            if expected != closing:
                raise DoesNotAddUp(f"{self.code} {self.name}", what, expected, closing)

    @property
    def quantities(self) -> tuple[Decimal, ...]:
        return self.opening, self.received, self.used, self.other, self.closing

    @property
    def values(self) -> tuple[Decimal, ...]:
        return self.opening_value, self.received_value, self.used_value, self.other_value, self.closing_value


class BatchUse(NamedTuple):
    """What one batch (or sales, or raw stock) took of one material."""

    batch: str
    material: str
    unit: str
    quantity: Decimal
    value: Decimal


@dataclass(frozen=True)
class MonthReport:
    """A workshop's month, "2025-01", in one currency."""

    title: str
    month: str
    currency: str
    lines: tuple[MonthLine, ...]
    by_batch: tuple[BatchUse, ...]
    written_on: date

    def totals(self) -> tuple[Decimal, ...]:
        """Values summed by column. Quantities are not: kilograms and pieces have no sum."""
        return tuple(sum(column, Decimal(0)) for column in zip(*(line.values for line in self.lines), strict=True))


def render(report: MonthReport) -> bytes:
    """The report as PDF on A4, upright, or lying where the figures need wider columns."""
    fonts.register()
    paper = kit.A4 if _Table(report, flow.room(kit.A4).width).fits else kit.A4.turned()
    table = _Table(report, flow.room(paper).width)
    pieces = [_title(report), *table.pieces(), *_batches(report, table.digits), *_chart(report, paper)]
    name = f"Materials, {wording.month(report.month)}"
    foot = f"{report.title} · {name} · written {wording.day(report.written_on)}"
    return flow.document(pieces, paper, title=name, author=report.title, foot=foot)


_ROW = 9.6 * mm


_SIZE, _SMALL = 9.0, 7.5


_GUTTER = 3 * mm


_NAMES = 58 * mm


class _Table:
    """The table of materials at one width: the quantity of each column with its value under it."""

    def __init__(self, report: MonthReport, width: float) -> None:
        self.report = report
        self.digits = written([value for line in report.lines for value in line.values])
        self.digits = max(self.digits, written([use[4] for use in report.by_batch]))
        self.column = (width - _NAMES) / len(COLUMNS)

    @property
    def fits(self) -> bool:
        texts = [text for line in self.report.lines for row in self._cells(line) for text in row]
        texts += [self._money(value) for value in self.report.totals()]
        return all(fonts.width(text, fonts.BOLD, _SIZE) + _GUTTER <= self.column for text in texts)

    def pieces(self) -> list[Piece]:
        if not self.report.lines:
            return [_sentence("Nothing was on the shelf, and nothing came in or was used.")]
        head = Piece(7 * mm, self._head)
        last = self.report.lines[-1]

        def close(on: Any, box: Box) -> None:
            row, total = box.cut_top(_ROW)
            self._line(on, row, last)
            self._totals(on, total)

        rows = [Piece(_ROW, self._drawing(line), head) for line in self.report.lines[:-1]]
        # The sum never stands alone on a page.
        rows.append(Piece(2 * _ROW, close, head))
        return [Piece(head.height, head.draw, follows=rows[0].height), *rows]

    def _money(self, value: Decimal) -> str:
        return number(value, self.digits)

    def _cells(self, line: MonthLine) -> list[tuple[str, str]]:
        digits = places(line.quantities)
        amounts = [number(amount, digits) for amount in line.quantities]
        return [(amount, self._money(value)) for amount, value in zip(amounts, line.values, strict=True)]

    def _columns(self, box: Box) -> list[Box]:
        return [
            Box(box.x + _NAMES + index * self.column + _GUTTER, box.y, self.column - _GUTTER, box.height)
            for index in range(len(COLUMNS))
        ]

    def _head(self, on: Any, box: Box) -> None:
        names, _ = box.cut_left(_NAMES)
        currency = self.report.currency
        kit.text(on, names, f"Material · amount, value in {currency}", size=_SMALL, smallest=6, middle=True)
        for place, title in zip(self._columns(box), COLUMNS, strict=True):
            kit.text(on, place, title, size=_SMALL, smallest=6, bold=True, align="right", middle=True)
        _rule_below(on, box, 1)

    def _drawing(self, line: MonthLine) -> Any:
        return lambda on, box: self._line(on, box, line)

    def _line(self, on: Any, box: Box, line: MonthLine) -> None:
        amounts, values = box.cut_top(box.height / 2)
        cells = self._cells(line)
        name, _ = amounts.cut_left(_NAMES)
        kit.text(on, name, line.name, size=_SIZE, smallest=6, bold=True, one_line=True, middle=True)
        for place, (amount, _) in zip(self._columns(amounts), cells, strict=True):
            _figure(on, place, amount, bold=True, middle=True)
        code, _ = values.cut_left(_NAMES)
        kit.text(on, code, f"{line.code} · {line.unit}", size=_SMALL, smallest=5.5, one_line=True)
        for place, (_, value) in zip(self._columns(values), cells, strict=True):
            _figure(on, place, value)
        _rule_below(on, box, 0.25)

    def _totals(self, on: Any, box: Box) -> None:
        kit.rule(on, box, 1)
        _, box = box.cut_top(0, gap=1 * mm)
        names, _ = box.cut_left(_NAMES)
        kit.text(on, names, f"All materials, value in {self.report.currency}", size=_SIZE, smallest=6, bold=True)
        for place, value in zip(self._columns(box), self.report.totals(), strict=True):
            _figure(on, place, self._money(value), bold=True)


def _figure(on: Any, box: Box, text: str, *, bold: bool = False, middle: bool = False) -> None:
    size = _SIZE if bold else _SMALL
    kit.text(
        on, box, text, size=size, smallest=4, bold=bold, whole="figure", one_line=True, align="right", middle=middle
    )


def _title(report: MonthReport) -> Piece:
    def draw(on: Any, box: Box) -> None:
        name, box = box.cut_top(7 * mm)
        kit.text(on, name, report.title, size=11, smallest=7, one_line=True)
        heading, _ = box.cut_top(10 * mm)
        kit.text(on, heading, f"Materials, {wording.month(report.month)}", size=19, smallest=12, bold=True)

    return Piece(20 * mm, draw)


def _sentence(words: str) -> Piece:
    return Piece(8 * mm, lambda on, box: _put(on, box, words))


def _put(on: Any, box: Box, words: str) -> None:
    kit.text(on, box, words, size=_SIZE, smallest=6, middle=True)


def _heading(words: str, follows: float) -> Piece:
    def draw(on: Any, box: Box) -> None:
        _, place = box.cut_top(0, gap=6 * mm)
        kit.text(on, place, words, size=12, smallest=8, bold=True, middle=True)

    return Piece(14 * mm, draw, follows=follows)


_SHARES = (0.24, 0.40, 0.2, 0.16)


def _batches(report: MonthReport, digits: int) -> list[Piece]:
    """Use by batch, its sum, and, where the two tables differ, how much was used on no batch."""
    uses = [BatchUse(*use) for use in report.by_batch]
    if not uses:
        return []
    row = 5.6 * mm

    def cells(*texts: str, bold: bool = False, thick: float = 0.25) -> Piece:
        return Piece(row, lambda on, box: _cells(on, box, texts, bold=bold, thick=thick), head)

    head: Piece | None = None
    head = cells("Used for", "Material", "Amount", f"Value, {report.currency}", bold=True, thick=1)
    rows = [
        cells(use.batch, use.material, f"{number(use.quantity)} {use.unit}", number(use.value, digits)) for use in uses
    ]
    together = sum((use.value for use in uses), Decimal(0))
    rows.append(cells("Together", "", "", number(together, digits), bold=True))
    aside = sum((line.used_value for line in report.lines), Decimal(0)) - together
    if aside:
        rows.append(cells("On no batch", "", "", number(aside, digits)))
    return [_heading("What it was used for", 3 * row), Piece(row, head.draw, follows=row), *rows]


def _cells(on: Any, box: Box, texts: Sequence[str], *, bold: bool, thick: float) -> None:
    rest = box
    for index, (text, share) in enumerate(zip(texts, _SHARES, strict=True)):
        place, rest = rest.cut_left(box.width * share)
        place = Box(place.x, place.y, place.width - (_GUTTER if index < len(texts) - 1 else 0), place.height)
        figure = index > 1
        kit.text(
            on,
            place,
            text,
            size=_SIZE,
            smallest=5,
            bold=bold,
            whole="figure" if figure else "",
            one_line=True,
            align="right" if figure else "left",
            middle=True,
        )
    _rule_below(on, box, thick)


def _chart(report: MonthReport, paper: Paper) -> list[Piece]:
    """Materials by the value used, most first; so many bars as a page takes, the rest in one."""
    used = sorted(((line.name, line.used_value) for line in report.lines if line.used_value), key=lambda row: -row[1])
    if not used:
        return []
    most = 20
    if len(used) > most:
        rest = sum((value for _, value in used[most:]), Decimal(0))
        used = [*used[:most], (f"{len(used) - most} more materials", rest)]
    drawing = charts.bars(used, unit=report.currency, width=min(flow.room(paper).width, 182 * mm), money=True)
    scale = min(1.0, (flow.room(paper).height - 16 * mm) / drawing.height)
    tall = drawing.height * scale
    return [_heading("Used, by value", tall), Piece(tall, lambda on, box: _drawn(on, box, drawing, scale))]


def _drawn(on: Any, box: Box, drawing: Drawing, scale: float) -> None:
    on.saveState()
    on.translate(box.x, box.y)
    on.scale(scale, scale)
    renderPDF.draw(drawing, on, 0, 0)
    on.restoreState()


def _rule_below(on: Any, box: Box, thickness: float) -> None:
    on.setLineWidth(thickness)
    on.line(box.x, box.y, box.right, box.y)
