"""Owns the papers of a gallery: the list of what it holds on sale or return, and the statement of a month.

What it holds stays the maker's until it is sold. What binds the gallery beyond that stands in the maker's own words, or not at
all. Must not work out a fee.
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
from workshop.documents.words.rules import Words


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
    words: Words = Words()

    @property
    def title(self) -> str:
        if not self.month:
            return self.words("gallery.list")
        return self.words("gallery.statement", month=self.words.month(date.fromisoformat(f"{self.month}-01")))

    def money(self, value: Decimal) -> str:
        return wording.number(value, self.digits)

    def sums(self, *rows: tuple[str, Decimal]) -> list[Any]:
        named = [(f"{self.words(key)}, {self.currency}", self.money(amount)) for key, amount in rows]
        return [flow.sums(named, before=1.5 * mm)]

    def day(self, one: GalleryPiece) -> str:
        return self.words.day(one.on) if one.on else ""


def render(paper: GalleryPaper, size: Paper = A4) -> bytes:
    """The list or the statement as PDF."""
    words, day = paper.words, paper.words.day(paper.on)
    facts = [
        (words("kit.date"), day),
        (words("gallery.fee"), _fee(paper)),
        (words("gallery.pieces"), str(len(paper.held))),
    ]
    story = [
        letter.head(paper.title, paper.seller, paper.gallery, facts, to=words("gallery.held_by"), words=words),
        *(_sold(paper) if paper.month else []),
        *_held(paper),
        *(_signed(paper) if paper.month else _terms(paper)),
    ]
    foot = f"{paper.seller.name} · {paper.gallery.name} · {paper.title} · {day}"
    return flow.document(story, size, title=paper.title, author=paper.seller.name, foot=foot, day=paper.on, words=words)


def _fee(paper: GalleryPaper) -> str:
    fixed = f" + {money.show(paper.fee_fixed, paper.currency)}" if paper.fee_fixed else ""
    of_net = f", {paper.words('gallery.of_net')}" if paper.of_net else ""
    return f"{wording.number(paper.fee_percent)} %{fixed}{of_net}"


def _sold(paper: GalleryPaper) -> flow.Story:
    words = paper.words
    title = words("gallery.sold")
    if not paper.sold:
        return flow.part(title, [flow.words(words("gallery.nothing_sold"))])
    columns: list[Column[GalleryPiece]] = [
        Column(words("kit.date"), 24, paper.day),
        Column(words("gallery.document"), 22, lambda one: one.number, code=True),
        Column(words("gallery.piece"), 56, lambda one: one.description),
    ]
    closing = paper.sums(
        ("gallery.payable_total", _sum(one.payable for one in paper.sold)),
        ("gallery.paid", -paper.paid),
        ("kit.balance_due", paper.due),
    )
    return [Table([*columns, *_money(paper)], paper.sold, title=title, write=paper.money, closing=closing)]


def _held(paper: GalleryPaper) -> flow.Story:
    words = paper.words
    title = words("gallery.in_stock")
    if not paper.held:
        return flow.part(title, [flow.words(words("gallery.nothing_held"))])
    unpriced = words("gallery.unpriced")
    columns: list[Column[GalleryPiece]] = [
        Column(words("gallery.checked"), 13, tick=True),
        Column(words("kit.number"), 34, lambda one: one.number, code=True),
        Column(words("gallery.piece"), 40, lambda one: (one.description, unpriced if one.price is None else "")),
        Column(words("gallery.since"), 24, paper.day),
    ]
    closing = paper.sums(
        ("gallery.price_total", _sum(one.price for one in paper.held)),
        ("gallery.payable_if_sold", _sum(one.payable for one in paper.held)),
    )
    return [Table([*columns, *_money(paper)], paper.held, title=title, write=paper.money, closing=closing)]


def _money(paper: GalleryPaper) -> list[Column[GalleryPiece]]:
    words, currency = paper.words, paper.currency
    return [
        Column(f"{words('gallery.price')}, {currency}", 24, amount=lambda one: one.price),
        Column(f"{words('gallery.fee_kept')}, {currency}", 21, amount=lambda one: one.fee),
        Column(f"{words('gallery.payable')}, {currency}", 27, amount=lambda one: one.payable),
    ]


def _sum(amounts: Iterable[Decimal | None]) -> Decimal:
    return sum((amount or Decimal(0) for amount in amounts), Decimal(0))


def _signed(paper: GalleryPaper) -> flow.Story:
    return [flow.blanks(paper.words("kit.for_workshop"), paper.words("kit.date"), tall=20 * mm)]


def _terms(paper: GalleryPaper) -> flow.Story:
    """The maker's own terms, if there are any, then what is written and signed by hand."""
    words = paper.words
    own = flow.paragraphs(words.here("terms.gallery").splitlines(), first=5 * mm)
    date_ = words("kit.date")
    signing = flow.blanks(words("kit.for_workshop"), date_, words("gallery.for_gallery"), date_, tall=20 * mm)
    agreed = flow.blanks(words("gallery.paid_by"), words("gallery.insured_by"))
    return [*own[:-1], flow.together(*own[-1:], agreed, signing)]
