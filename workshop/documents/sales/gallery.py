"""Owns the papers of a gallery: the list of what it holds on sale or return, and the statement of a month.

What it holds stays the maker's until it is sold. Must not work out a fee.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from reportlab.lib.units import mm

from inventory import money
from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table

OF = "what the buyer pays"
TERMS = (
    "Sale or return: the pieces stay mine until they are sold, and come back when either of us asks.",
    f"You keep the selling fee of {OF} and pay the rest to me. Prices are changed only when we both agree.",
    "While they are with you, loss and damage are yours to insure and to make good.",
)

UNPRICED = "no price set"


@dataclass(frozen=True)
class GalleryPiece:
    """A piece at the gallery since a day, or sold there on it (or credited, below zero) by the document of that `number`.

    `price` is what a buyer pays there, `payable` what of it is the maker's after the `fee`; None where no price is set.
    """

    number: str
    description: str
    on: date | None
    price: Decimal | None = None
    fee: Decimal | None = None
    payable: Decimal | None = None


@dataclass(frozen=True)
class GalleryPaper:
    """The list of a day, or with `month` ("2025-09") the statement of it: what was sold, then what is in stock.

    `paid` came for the sold pieces by the end of the month, `due` is left of them then. `of_net`: the gallery sells to the public
    itself, and its fee is of the price without tax.
    """

    seller: Party
    gallery: Party
    on: date
    held: tuple[GalleryPiece, ...]
    currency: str
    fee_percent: Decimal
    month: str = ""
    sold: tuple[GalleryPiece, ...] = ()
    paid: Decimal = Decimal(0)
    due: Decimal = Decimal(0)
    digits: int = 2
    fee_fixed: Decimal = Decimal(0)
    of_net: bool = False

    @property
    def title(self) -> str:
        return f"Statement, {wording.month(self.month)}" if self.month else "Sale-or-return list"

    def money(self, value: Decimal) -> str:
        return wording.number(value, self.digits)

    def sums(self, *rows: tuple[str, Decimal]) -> list[Any]:
        named = [(f"{label}, {self.currency}", self.money(amount)) for label, amount in rows]
        return [flow.sums(named, before=1.5 * mm)]


def render(paper: GalleryPaper, size: Paper = A4) -> bytes:
    """The list or the statement as PDF."""
    facts = [("Date", wording.day(paper.on)), ("Selling fee", _fee(paper)), ("Pieces in stock", str(len(paper.held)))]
    signing = flow.blanks("For the workshop", "Date", tall=20 * mm)
    story = [
        letter.head(paper.title, paper.seller, paper.gallery, facts, to="Held by"),
        *(_sold(paper) if paper.month else []),
        *_held(paper),
        *([signing] if paper.month else _terms(paper)),
    ]
    foot = f"{paper.seller.name} · {paper.gallery.name} · {paper.title} · {wording.day(paper.on)}"
    return flow.document(story, size, title=paper.title, author=paper.seller.name, foot=foot)


def _fee(paper: GalleryPaper) -> str:
    fixed = f" + {money.show(paper.fee_fixed, paper.currency)}" if paper.fee_fixed else ""
    return f"{wording.number(paper.fee_percent)} %{fixed}{', price without tax' if paper.of_net else ''}"


def _sold(paper: GalleryPaper) -> flow.Story:
    if not paper.sold:
        return flow.part("Sold", [flow.words("Nothing was sold or came back in this month.")])
    columns: list[Column[GalleryPiece]] = [
        Column("Date", 24, _day),
        Column("Document", 22, lambda one: one.number, code=True),
        Column("Piece", 56, lambda one: one.description),
    ]
    closing = paper.sums(
        ("Total payable to maker", _sum(one.payable for one in paper.sold)),
        ("Paid by the end of the month", -paper.paid),
        ("Balance due", paper.due),
    )
    return [Table([*columns, *_money(paper)], paper.sold, title="Sold", write=paper.money, closing=closing)]


def _held(paper: GalleryPaper) -> flow.Story:
    if not paper.held:
        return flow.part("In stock", [flow.words("No piece is in stock.")])
    columns: list[Column[GalleryPiece]] = [
        Column("Checked", 13, tick=True),
        Column("Number", 34, lambda one: one.number, code=True),
        Column("Piece", 40, lambda one: (one.description, UNPRICED if one.price is None else "")),
        Column("Since", 24, _day),
    ]
    closing = paper.sums(
        ("Total of prices", _sum(one.price for one in paper.held)),
        ("Payable to maker if all sold", _sum(one.payable for one in paper.held)),
    )
    return [Table([*columns, *_money(paper)], paper.held, title="In stock", write=paper.money, closing=closing)]


def _day(one: GalleryPiece) -> str:
    return wording.day(one.on) if one.on else ""


def _money(paper: GalleryPaper) -> list[Column[GalleryPiece]]:
    return [
        Column(f"Price, {paper.currency}", 24, amount=lambda one: one.price),
        Column(f"Fee, {paper.currency}", 21, amount=lambda one: one.fee),
        Column(f"Payable to maker, {paper.currency}", 27, amount=lambda one: one.payable),
    ]


def _sum(amounts: Iterable[Decimal | None]) -> Decimal:
    return sum((amount or Decimal(0) for amount in amounts), Decimal(0))


def _terms(paper: GalleryPaper) -> flow.Story:
    said = [each.replace(OF, "the price without tax") if paper.of_net else each for each in TERMS]
    *terms, last = flow.paragraphs(said, first=5 * mm)
    signing = flow.blanks("For the workshop", "Date", "For the gallery", "Date", tall=20 * mm)
    return [*terms, flow.together(last, flow.blanks("Paid by which day of the month", "Insured by"), signing)]
