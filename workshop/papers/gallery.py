"""Owns the papers of a gallery: the list of what it holds on sale or return, and the statement of a month.

What it holds stays the maker's until it is sold. Must not work out a fee.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.papers import fonts, letter, wording
from workshop.papers.flow import Piece, document, room
from workshop.papers.kit import A4, Paper
from workshop.papers.letter import Who
from workshop.papers.stack import Para
from workshop.papers.table import Column, Row, Table

TERMS = (
    "Sale or return: the pieces stay mine until they are sold, and come back when either of us asks.",
    "You keep the selling fee of what the buyer pays and pay the rest to me. Prices are changed only when we both agree.",
    "While they are with you, loss and damage are yours to insure and to make good.",
)


UNPRICED = "no price set"


@dataclass(frozen=True)
class HeldPiece:
    """A piece at the gallery. `price` is what a buyer pays there, `ours` what is left of it; None where no price is set."""

    number: str
    what: str
    since: date | None
    price: Decimal | None = None
    fee: Decimal | None = None
    ours: Decimal | None = None


@dataclass(frozen=True)
class SoldPiece:
    """A line of a paper sold there, or credited (below nought). `fee` is what was kept back or charged for it."""

    on: date
    paper: str
    what: str
    price: Decimal
    fee: Decimal
    ours: Decimal


@dataclass(frozen=True)
class GalleryPaper:
    """The list of a day, or with `month` ("2025-09") the statement of it: what was sold, then what is still there.

    `paid` came for the sold pieces by the end of the month, `owed` is left of them then.
    """

    seller: Who
    gallery: Who
    on: date
    held: tuple[HeldPiece, ...]
    currency: str
    fee_percent: Decimal
    month: str = ""
    sold: tuple[SoldPiece, ...] = ()
    paid: Decimal = Decimal(0)
    owed: Decimal = Decimal(0)
    digits: int = 2

    @property
    def title(self) -> str:
        return f"Statement, {wording.month(self.month)}" if self.month else "Sale-or-return list"


def render(paper: GalleryPaper, size: Paper = A4) -> bytes:
    """The list or the statement as PDF."""
    fonts.register()
    width = room(size).width
    facts = [
        ("Day", wording.day(paper.on)),
        ("Selling fee", f"{wording.number(paper.fee_percent)} %"),
        ("Pieces there", str(len(paper.held))),
    ]
    pieces = [letter.head(paper.title, paper.seller, paper.gallery, facts, width, to="Held by")]
    if paper.month:
        pieces += _sold(paper, width)
    held = _held(paper, width)
    pieces += letter.signed(held, _sign("For the workshop", "Day")) if paper.month else [*held, *_terms(width)]
    foot = f"{paper.seller.name} · {paper.gallery.name} · {paper.title} · {wording.day(paper.on)}"
    return document(pieces, size, title=paper.title, author=paper.seller.name, foot=foot)


def _sold(paper: GalleryPaper, width: float) -> list[Piece]:
    if not paper.sold:
        return [letter.heading("Sold"), *letter.words([Para("Nothing was sold or came back in this month.")], width)]
    columns = (
        Column("Day", 24),
        Column("Paper", 22, code=True),
        Column("Piece", 60),
        Column(f"Price, {paper.currency}", 24, figure=True),
        Column(f"Fee, {paper.currency}", 22, figure=True),
        Column(f"To us, {paper.currency}", 24, figure=True),
    )
    rows = [
        Row(
            (
                wording.day(one.on),
                one.paper,
                one.what,
                *(_money(paper, each) for each in (one.price, one.fee, one.ours)),
            ),
            {3: one.price, 4: one.fee, 5: one.ours},
        )
        for one in paper.sold
    ]
    ours = sum((one.ours for one in paper.sold), Decimal(0))
    closing = letter.sums(
        [
            (f"To us in all, {paper.currency}", _money(paper, ours)),
            (f"Paid by the end of the month, {paper.currency}", _money(paper, -paper.paid)),
            (f"Still to be paid, {paper.currency}", _money(paper, paper.owed)),
        ],
        gap=1.5 * mm,
    )
    made = Table(columns, width).pieces(rows, write=lambda value: _money(paper, value), closing=closing)
    return [letter.heading("Sold", follows=made[0].height + made[0].follows), *made]


def _held(paper: GalleryPaper, width: float) -> list[Piece]:
    if not paper.held:
        return [letter.heading("There now"), *letter.words([Para("No piece is there.")], width)]
    columns = (
        Column("Seen", 8, tick=True),
        Column("Number", 34, code=True),
        Column("Piece", 46),
        Column("There since", 24),
        Column(f"Price, {paper.currency}", 24, figure=True),
        Column(f"Fee, {paper.currency}", 20, figure=True),
        Column(f"To us, {paper.currency}", 22, figure=True),
    )
    rows = [_held_row(paper, one) for one in paper.held]
    total = [sum((each or Decimal(0) for each in column), Decimal(0)) for column in _columns(paper.held)]
    closing = letter.sums(
        [
            (f"Prices in all, {paper.currency}", _money(paper, total[0])),
            (f"To us if all is sold, {paper.currency}", _money(paper, total[2])),
        ],
        gap=1.5 * mm,
    )
    made = Table(columns, width).pieces(rows, write=lambda value: _money(paper, value), closing=closing)
    return [letter.heading("There now", follows=made[0].height + made[0].follows), *made]


def _columns(held: Sequence[HeldPiece]) -> list[list[Decimal | None]]:
    return [[one.price for one in held], [one.fee for one in held], [one.ours for one in held]]


def _held_row(paper: GalleryPaper, one: HeldPiece) -> Row:
    what = one.what if one.price is not None else (one.what, UNPRICED)
    figures = [one.price, one.fee, one.ours]
    return Row(
        (
            "",
            one.number,
            what,
            wording.day(one.since) if one.since else "",
            *("" if each is None else _money(paper, each) for each in figures),
        ),
        {column: each or Decimal(0) for column, each in enumerate(figures, start=4)},
    )


def _terms(width: float) -> list[Piece]:
    return letter.signed(
        letter.words([Para(words, before=2) for words in TERMS], width, before=5 * mm),
        letter.lines_to_write(("Paid by which day of the month", "Insured by")),
        _sign("For the workshop", "Day", "For the gallery", "Day"),
    )


def _sign(*labels: str) -> Piece:
    return letter.lines_to_write(labels, tall=20 * mm)


def _money(paper: GalleryPaper, value: Decimal) -> str:
    return wording.number(value, paper.digits)
