"""Owns the price ticket: a small card to hang on an article, the price large. Must not work out a price."""

from dataclasses import dataclass
from functools import partial
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import cards, codes, page, short
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.stack import Para
from workshop.documents.kit.text import LEAST, TextTooLong
from workshop.documents.kit.wording import opened
from workshop.documents.labels import care
from workshop.documents.labels.care import Described
from workshop.documents.type import fonts

HOLE_RADIUS = 2.5 * mm  # an office punch makes holes of 5 to 6 mm
_STRIP = 13 * mm
_EDGE = 3 * mm
_SHORT_NUMBER = 12  # signs; a longer article number takes room from the price, so that any number of the books fits


@dataclass(frozen=True, kw_only=True)
class PriceTicket(Described):
    """One article's ticket. `price_text` is what is asked, with "+ tax" after it where tax comes on top; `currency` is set beside
    it unless it is in it.
    """

    price_text: str
    currency: str
    on_top: bool = False

    @property
    def price(self) -> str:
        price = self.price_text.strip()
        asked = price if not self.currency or self.currency in price else f"{price} {self.currency}"
        return self.words("ticket.tax_on_top", price=asked) if self.on_top else asked


def render(ticket: PriceTicket, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The ticket as PDF: a page of 85 × 55 mm a copy, or laid on `sheet` (A4 takes ten) to cut apart."""
    return cards.render(card(ticket), copies, sheet)


def card(ticket: PriceTicket) -> Card:
    return Card(
        partial(draw, ticket=ticket),
        (page.TICKET,),
        ticket.words("ticket.numbered", article=ticket.article),
        ticket.brand,
    )


def draw(on: Any, place: Box, ticket: PriceTicket) -> None:
    """The ticket with its hole in a box of 85 × 55 mm or more; in a smaller one in short."""
    if not short.roomy(place, page.TICKET):
        named = (Para(ticket.headline, bold=True, larger=1), Para(_facts(ticket)), Para(ticket.article, bold=True))
        said = (*named, *(Para(words, larger=-1) for words in (ticket.brand, ticket.postal, ticket.electronic)))
        short.put(on, place, head=ticket.price, code=ticket.article, paras=said, whole="price and words")
        return
    page.ring(on, place.x + _STRIP / 2, place.y + place.height / 2, HOLE_RADIUS)
    _, inner = place.cut_left(_STRIP)
    rest = Box(inner.x, inner.y + _EDGE, inner.width - _EDGE, inner.height - 2 * _EDGE)
    name, rest = rest.cut_top(8.5 * mm)
    page.text(on, name, ticket.headline, size=14, smallest=7, bold=True, whole="name of the piece")
    facts, rest = rest.cut_top(8.5 * mm)
    page.text(on, facts, _facts(ticket), size=8, smallest=5)
    price, rest = rest.cut_top(12 * mm, gap=1.5 * mm)
    _price(on, price, ticket)
    rest = codes.beside(on, rest, ticket.article, height=7 * mm)
    maker = "\n".join(filter(None, (ticket.brand, ticket.postal, ticket.electronic)))
    page.text(on, rest, maker, size=7, smallest=LEAST, whole="maker's address")


def _facts(ticket: PriceTicket) -> str:
    words = ticket.words
    made = " · ".join((opened(care.trade_names(ticket, words)), care.method_line(ticket, words)))
    return "\n".join(filter(None, (made, care.area_line(ticket, words))))


def _price(on: Any, box: Box, ticket: PriceTicket) -> None:
    share = 0.66 if len(ticket.article) <= _SHORT_NUMBER else 0.5
    price, number = box.cut_left(box.width * share, gap=2 * mm)
    how: dict[str, Any] = {"smallest": 9, "bold": True, "whole": "price", "middle": True}
    try:
        page.text(on, price, ticket.price, size=27, one_line=True, **how)
    except TextTooLong:
        if any(fonts.width(word, fonts.BOLD, how["smallest"]) > price.width for word in ticket.price.split(" ")):
            raise
        page.text(on, price, ticket.price, size=14, **how)  # in two lines, and never within its figures
    page.text(
        on,
        number,
        ticket.article,
        size=16,
        smallest=LEAST,
        bold=True,
        whole="article number",
        one_line=True,
        align="right",
        middle=True,
    )
