"""Owns the paper of a sale: the invoice, the credit note, the receipt of a sale over the counter.

It prints what was issued, to the cent: fields that EU Directive 2006/112/EC art. 226 and UK VAT Regulations 1995 reg. 14 ask
for are listed in `costing.documents`. Must not work out a tax: lines that do not add up to the paper are refused.
"""

from __future__ import annotations

from collections.abc import Sequence
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

NOTHING = Decimal(0)


@dataclass(frozen=True)
class BillLine:
    """A line as issued. `price` of one and `discount` off the line as they were agreed; `net_price` of one without tax.

    `rate` in percent, None where no tax is charged; `relief` says why a rate of nought applies.
    """

    what: str
    quantity: Decimal
    price: Decimal
    net: Decimal
    tax: Decimal
    gross: Decimal
    discount: Decimal = NOTHING
    rate: Decimal | None = None
    net_price: Decimal = NOTHING
    relief: str = ""


@dataclass(frozen=True)
class Bill:
    """A paper as issued. `taxed`: the seller was registered, and the paper shows tax by rate.

    `corrects` and `corrects_on` are the paper that a credit note changes, `left` what is left of it after the note.
    `settled` are (words, amount) of what was paid or set off by the day of issue; `to_pay` what was then left of a bill.
    """

    title: str
    number: str
    issued_on: date
    supplied_on: date
    seller: Who
    buyer: Who
    lines: tuple[BillLine, ...]
    net: Decimal
    tax: Decimal
    gross: Decimal
    currency: str
    taxed: bool = False
    prices_with_tax: bool = True
    due_on: date | None = None
    corrects: str = ""
    corrects_on: date | None = None
    reason: str = ""
    left: Decimal | None = None
    settled: tuple[tuple[str, Decimal], ...] = ()
    to_pay: Decimal | None = None
    words: tuple[str, ...] = ()
    digits: int = 2

    def __post_init__(self) -> None:
        stated_sums = ("net", self.net), ("tax", self.tax), ("total", self.gross)
        for (what, stated), added in zip(stated_sums, self._sums(self.lines), strict=True):
            if added != stated:
                raise PaperDoesNotAddUp(self.number, what, added, stated)

    def rates(self) -> list[tuple[Decimal, str, Decimal, Decimal, Decimal]]:
        """(rate, reason at nought, net, tax, gross) of each rate on the paper, the highest rate first."""
        keys = sorted({(line.rate or NOTHING, line.relief) for line in self.lines}, reverse=True)
        return [
            (*key, *self._sums([line for line in self.lines if (line.rate or NOTHING, line.relief) == key]))
            for key in keys
        ]

    @staticmethod
    def _sums(lines: Sequence[BillLine]) -> tuple[Decimal, Decimal, Decimal]:
        return (
            sum((line.net for line in lines), NOTHING),
            sum((line.tax for line in lines), NOTHING),
            sum((line.gross for line in lines), NOTHING),
        )


def render(bill: Bill, size: Paper = A4) -> bytes:
    """The paper as PDF, over as many pages as its lines take."""
    fonts.register()
    width = room(size).width
    pieces = [
        letter.head(bill.title, bill.seller, bill.buyer, _facts(bill), width),
        *_lines(bill, width),
        *(_rates(bill, width) if bill.taxed else []),
        *_settled(bill),
        *letter.words([Para(words, before=2) for words in bill.words], width, before=5 * mm),
    ]
    name = f"{bill.title} {bill.number}"
    foot = f"{bill.seller.name} · {name} · {wording.day(bill.issued_on)}"
    return document(pieces, size, title=name, author=bill.seller.name, foot=foot)


def _facts(bill: Bill) -> list[tuple[str, str]]:
    changed = f"{bill.corrects} of {wording.day(bill.corrects_on)}" if bill.corrects and bill.corrects_on else ""
    return [
        ("Number", bill.number),
        ("Day of issue", wording.day(bill.issued_on)),
        ("Day of supply", wording.day(bill.supplied_on)),
        ("Changes", changed),
        ("Reason", bill.reason),
        ("To be paid by", wording.day(bill.due_on) if bill.due_on else ""),
    ]


def _lines(bill: Bill, width: float) -> list[Piece]:
    if bill.taxed:
        return _taxed(bill, width)
    columns = (
        Column("", 7, figure=True),
        Column("What", 84),
        Column("How many", 16, figure=True),
        Column(f"Price of one, {bill.currency}", 28, figure=True),
        Column(f"Amount, {bill.currency}", 30, figure=True),
    )
    rows = [
        Row(
            (
                str(place),
                (line.what, _less(bill, line)),
                wording.number(line.quantity),
                _money(bill, line.price),
                _money(bill, line.gross),
            ),
            {4: line.gross},
        )
        for place, line in enumerate(bill.lines, start=1)
    ]
    total = letter.sums([(f"{_total(bill)}, {bill.currency}", _money(bill, bill.gross))], gap=1.5 * mm)
    return Table(columns, width).pieces(rows, write=lambda value: _money(bill, value), closing=total)


def _taxed(bill: Bill, width: float) -> list[Piece]:
    columns = (
        Column("", 6, figure=True),
        Column("What", 60),
        Column("How many", 14, figure=True),
        Column("Price of one without tax", 23, figure=True),
        Column("Tax, %", 12, figure=True),
        Column(f"Without tax, {bill.currency}", 25, figure=True),
        Column(f"With tax, {bill.currency}", 25, figure=True),
    )
    rows = [
        Row(
            (
                str(place),
                (line.what, _less(bill, line)),
                wording.number(line.quantity),
                wording.number(line.net_price, bill.digits),
                wording.number(line.rate or NOTHING),
                _money(bill, line.net),
                _money(bill, line.gross),
            ),
            {5: line.net, 6: line.gross},
        )
        for place, line in enumerate(bill.lines, start=1)
    ]
    total = letter.sums(
        [
            (f"Without tax, {bill.currency}", _money(bill, bill.net)),
            (f"Tax, {bill.currency}", _money(bill, bill.tax)),
            (f"{_total(bill)} with tax, {bill.currency}", _money(bill, bill.gross)),
        ],
        gap=1.5 * mm,
    )
    return Table(columns, width).pieces(rows, write=lambda value: _money(bill, value), closing=total)


def _rates(bill: Bill, width: float) -> list[Piece]:
    """What each rate comes to; a rate of nought with its reason."""
    columns = (
        Column("Tax rate", 60),
        Column(f"Amount without tax, {bill.currency}", 34, figure=True),
        Column(f"Tax, {bill.currency}", 30, figure=True),
        Column(f"Amount with tax, {bill.currency}", 34, figure=True),
    )
    rows = [
        Row(
            (f"{wording.number(rate)} %" + (f", {relief}" if relief else ""), *(_money(bill, each) for each in amounts))
        )
        for rate, relief, *amounts in bill.rates()
    ]
    made = Table(columns, width).pieces(rows)
    return [letter.heading("Tax by rate", follows=made[0].height + made[0].follows), *made]


def _settled(bill: Bill) -> list[Piece]:
    if bill.left is not None:
        return letter.sums(
            [(f"Left of {bill.corrects} after this note, {bill.currency}", _money(bill, bill.left))],
            bold=False,
            gap=3 * mm,
        )
    if bill.to_pay is None:
        return []
    last = f"Left to pay, {bill.currency}" if bill.to_pay >= 0 else f"Paid too much, {bill.currency}"
    rows = [(words, _money(bill, -amount)) for words, amount in bill.settled]
    return letter.sums([*rows, (last, _money(bill, abs(bill.to_pay)))], gap=3 * mm)


def _total(bill: Bill) -> str:
    return "Credited" if bill.corrects else "Total"


def _money(bill: Bill, value: Decimal) -> str:
    return wording.number(value, bill.digits)


def _less(bill: Bill, line: BillLine) -> str:
    """Under a line: its price as agreed where the column shows another, and what was taken off it."""
    said: Sequence[str] = []
    if bill.taxed and bill.prices_with_tax:
        said = [f"{_money(bill, line.price)} each with tax"]
    if line.discount:
        said = [*said, f"less {_money(bill, abs(line.discount))} off"]
    if line.relief:
        said = [*said, line.relief]
    return ", ".join(said)
