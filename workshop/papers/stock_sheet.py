"""Owns the year-end stock sheet: what was there at the end of a day, at cost, and beside it the lower value as a reference.

Must not value anything: the sheet comes worked out (`costing.stocksheet`), and its groups must add up to its total.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.papers import fonts, letter, wording
from workshop.papers.errors import PaperDoesNotAddUp
from workshop.papers.flow import Piece, document, room
from workshop.papers.kit import A4, Paper
from workshop.papers.letter import Who
from workshop.papers.stack import Para
from workshop.papers.table import Column, Row, Table

BASIS = (
    "At cost: what was paid for materials and skins, and the materials that went into them. Own hours are not in it.",
    "The lower value is the lower of cost and of what a piece would bring after selling costs, line by line. It is a reference:"
    " which of the two counts is for your tax office to say.",
    "Skins of customers are not ours and count nothing; materials that went into them are in work until they are handed over.",
)


@dataclass(frozen=True)
class StockLine:
    """A line of the sheet: its book value and the lower value beside it."""

    what: str
    quantity: str
    place: str
    value: Decimal
    lower: Decimal
    with_others: bool = False


@dataclass(frozen=True)
class StockSheet:
    """The sheet of a day: (group, its lines) in order, also empty ones, and what everything comes to."""

    workshop: str
    on: date
    currency: str
    cost_flow: str
    groups: tuple[tuple[str, tuple[StockLine, ...]], ...]
    total: Decimal
    written_on: date
    digits: int = 2

    def __post_init__(self) -> None:
        added = sum((line.value for _, lines in self.groups for line in lines), Decimal(0))
        if added != self.total:
            raise PaperDoesNotAddUp("the stock sheet", "value", added, self.total)


def render(sheet: StockSheet, size: Paper = A4) -> bytes:
    """The sheet as PDF, a table for each group, then their sums and a place to sign."""
    fonts.register()
    width = room(size).width
    facts = [
        ("End of", wording.day(sheet.on)),
        ("Cost flow", sheet.cost_flow),
        ("Value at cost", f"{_money(sheet, sheet.total)} {sheet.currency}"),
    ]
    pieces = [letter.head("Stock sheet", Who(sheet.workshop), Who(), facts, width)]
    for group, lines in sheet.groups:
        pieces += _group(sheet, group, lines, width)
    pieces += _together(sheet, width)
    basis = letter.words([Para(words, before=2) for words in BASIS], width, before=5 * mm)
    pieces += letter.signed(basis, letter.lines_to_write(("Counted by", "Day", "Signed"), tall=20 * mm))
    foot = f"{sheet.workshop} · stock at the end of {wording.day(sheet.on)} · written {wording.day(sheet.written_on)}"
    return document(pieces, size, title=f"Stock sheet {sheet.on}", author=sheet.workshop, foot=foot)


def _group(sheet: StockSheet, group: str, lines: tuple[StockLine, ...], width: float) -> list[Piece]:
    title = wording.opened(group)
    if not lines:
        made = letter.words([Para(f"Nothing: 0 {sheet.currency}.")], width, before=0)
        return [letter.heading(title, follows=made[0].height), *made]
    columns = (
        Column("What", 66),
        Column("Where", 40),
        Column("How much", 26, figure=True),
        Column(f"At cost, {sheet.currency}", 25, figure=True),
        Column(f"Lower value, {sheet.currency}", 25, figure=True),
    )
    rows = [
        Row(
            (
                line.what,
                (line.place, "with others") if line.with_others else line.place,
                line.quantity,
                _money(sheet, line.value),
                _money(sheet, line.lower),
            ),
            {3: line.value, 4: line.lower},
        )
        for line in lines
    ]
    value, lower = _sums(lines)
    closing = Table(columns, width).row(
        (
            f"{title}, {len(lines)} line{'' if len(lines) == 1 else 's'}",
            "",
            "",
            _money(sheet, value),
            _money(sheet, lower),
        ),
        bold=True,
        thick=0.8,
    )
    made = Table(columns, width).pieces(rows, write=lambda amount: _money(sheet, amount), closing=[closing])
    return [letter.heading(title, follows=made[0].height + made[0].follows), *made]


def _together(sheet: StockSheet, width: float) -> list[Piece]:
    columns = (
        Column("All together", 132),
        Column(f"At cost, {sheet.currency}", 25, figure=True),
        Column(f"Lower value, {sheet.currency}", 25, figure=True),
    )
    everything = [line for _, lines in sheet.groups for line in lines]
    rows = [
        Row((wording.opened(group), *(_money(sheet, each) for each in _sums(lines)))) for group, lines in sheet.groups
    ]
    rows.append(Row(("Total", *(_money(sheet, each) for each in _sums(tuple(everything)))), bold=True))
    others = tuple(line for line in everything if line.with_others)
    rows.append(Row(("Of it with others", *(_money(sheet, each) for each in _sums(others)))))
    made = Table(columns, width).pieces(rows)
    return [letter.heading("Sums", follows=sum(piece.height for piece in made)), *made]


def _sums(lines: tuple[StockLine, ...]) -> tuple[Decimal, Decimal]:
    return sum((line.value for line in lines), Decimal(0)), sum((line.lower for line in lines), Decimal(0))


def _money(sheet: StockSheet, value: Decimal) -> str:
    return wording.number(value, sheet.digits)
