"""Owns the folded care card and the hang tag: two faces side by side, folded between them, a hole at the top of each.

In front what a shop shows, at the back how to keep it. Must not read any record.
"""

from dataclasses import dataclass
from functools import partial
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import cards, codes, page, stack
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.stack import Para
from workshop.documents.kit.text import LEAST, fit
from workshop.documents.labels import care
from workshop.documents.labels.care import CareLabel
from workshop.documents.labels.care_label import headline
from workshop.documents.type import fonts

CARD, TAG = Paper(170, 120), Paper(110, 90)  # open
HOLE_RADIUS = 2.5 * mm  # an office punch makes holes of 5 to 6 mm
_HOLE_DOWN = 6 * mm
_BELOW_HOLE = 11 * mm
_FOLD_MARK = 5 * mm
_BODY, _BODY_SMALLEST = 10.0, 6.5
_FACTS_SHARE = 0.5  # of the front, at most


@dataclass(frozen=True)
class Face:
    """A face and how large its type is, 1 on the card."""

    box: Box
    scale: float

    @property
    def inner(self) -> Box:
        edge = 8 * mm * self.scale
        box = self.box.inset(edge)
        return Box(box.x, box.y, box.width, self.box.height - edge - _BELOW_HOLE)


def render(label: CareLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The folded card as PDF: a page of 170 × 120 mm a copy, or laid on `sheet` (A4 takes two) to cut apart."""
    return cards.render(card(label), copies, sheet)


def render_tag(label: CareLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The hang tag as PDF: a page of 110 × 90 mm a copy, or laid on `sheet` (A4 takes four) to cut apart."""
    return cards.render(tag_card(label), copies, sheet)


def card(label: CareLabel) -> Card:
    return Card(
        partial(draw, label=label), (CARD,), label.words("care.card_numbered", article=label.article), label.brand
    )


def tag_card(label: CareLabel) -> Card:
    return Card(
        partial(draw, label=label), (TAG,), label.words("care.tag_numbered", article=label.article), label.brand
    )


def draw(on: Any, place: Box, label: CareLabel) -> None:
    """Both faces in a box of any size, the front at the left."""
    scale = min(1.0, place.width / CARD.box.width, place.height / CARD.box.height)
    front, back = (Face(box, scale) for box in place.columns([1, 1], 0))
    for face in (front, back):
        page.ring(on, face.box.x + face.box.width / 2, place.top - _HOLE_DOWN, HOLE_RADIUS)
    on.setLineWidth(0.4)
    for low, high in ((place.y + 0.5 * mm, place.y + _FOLD_MARK), (place.top - _FOLD_MARK, place.top - 0.5 * mm)):
        on.line(back.box.x, low, back.box.x, high)
    _front(on, front, label)
    _back(on, back, label)


def _front(on: Any, face: Face, label: CareLabel) -> None:
    box, scale, words = face.inner, face.scale, label.words
    facts = (
        Para(care.species_line(label, words), bold=True),
        Para(words("care.made_by", maker=", ".join(filter(None, (label.brand, label.address))))),
        Para(label.electronic),
        *(Para(text, before=1.5) for text in care.law_lines(label)),
        Para(care.numbers(label), before=1.5),
    )
    room = box.height * _FACTS_SHARE
    low = stack.fit(facts, box.width, room, size=max(6.0, 8.5 * scale), smallest=LEAST, whole="maker's address")
    bottom = Box(box.x, box.y, box.width, low.height)
    page.rule(on, Box(bottom.x, bottom.y, bottom.width, bottom.height + 2.5 * mm * scale))
    stack.draw(on, bottom, low)
    brand = fit(
        label.brand,
        width=box.width,
        height=9 * mm * scale,
        font=fonts.BOLD,
        size=11.5 * scale,
        smallest=LEAST,
        whole="workshop's name",
    )
    page.put(on, box, brand, align="centre")
    middle, half, below = box.x + box.width / 2, 7 * mm * scale, box.top - brand.height - 1 * mm * scale
    on.setLineWidth(0.8)
    on.line(middle - half, below, middle + half, below)
    _, rest = box.cut_top(brand.height, gap=4 * mm * scale)
    _name(
        on,
        Box(rest.x, rest.y + low.height + 5 * mm * scale, rest.width, rest.height - low.height - 5 * mm * scale),
        face,
        label,
    )


def _name(on: Any, box: Box, face: Face, label: CareLabel) -> None:
    """The piece's name and what it is, a little above the middle of what is free, where the eye looks for it."""
    scale, words = face.scale, label.words
    what = (
        Para(care.method_line(label, words), centred=True),
        Para(care.area_line(label, words), centred=True, larger=-0.5, before=3 * scale),
        Para(care.second_facts(label), centred=True, larger=-1, before=5 * scale),
    )
    under = stack.fit(
        what, box.width, box.height / 2, size=max(6.5, 10 * scale), smallest=5.75, whole="facts of the piece"
    )
    gap = 2 * mm * scale
    title = headline(label, box.width, box.height - under.height - gap, size=23 * scale)
    _, place = box.cut_top(max(0.0, (box.height - title.height - gap - under.height) * 0.35))
    page.put(on, place, title, align="centre")
    stack.draw(on, place.cut_top(title.height, gap=gap)[1], under)


def _back(on: Any, face: Face, label: CareLabel) -> None:
    box, scale = face.inner, face.scale
    title = stack.fit(
        (Para(label.words("care.title"), serif=True),),
        box.width,
        box.height,
        size=14 * scale,
        smallest=6,
        whole="title",
    )
    stack.draw(on, box, title)
    _, rest = box.cut_top(title.height, gap=2 * mm * scale)
    tall, gap = max(6 * mm, 8 * mm * scale), 2 * mm * scale
    bars = 0 < codes.taken(label.article) <= box.width
    wide = box.width if bars else box.width - codes.side(label.article) - codes.GAP
    number = (Para(label.article, bold=True),)
    low = stack.fit(number, wide, 8 * mm, size=max(7.0, 9 * scale), smallest=LEAST, whole="article number")
    high = tall + low.height + 1 * mm if bars else max(codes.side(label.article), low.height)
    white = gap if bars else max(gap, codes.GAP + 1)  # between the rule and a code
    words, foot = rest.cut_top(rest.height - high - gap - white, gap=gap)
    stack.draw(
        on, words, care.fitted(label, words.width, words.height, size=_BODY * max(scale, 0.8), smallest=_BODY_SMALLEST)
    )
    page.rule(on, foot)
    _, foot = foot.cut_top(0, gap=white)
    stack.draw(on, codes.beside(on, foot, label.article, height=tall), low)
