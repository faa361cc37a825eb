"""Owns the label on a shelf or other place: its name, what is kept there, the level to reorder at, and a hazard word.

Must not read a stock: the figures on a shelf are what should be there, never what is.
"""

from dataclasses import dataclass
from functools import partial
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import cards, codes, page, short, stack
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.stack import Para
from workshop.documents.kit.text import TextTooLong
from workshop.documents.labels import hazards
from workshop.documents.words.rules import Words

SHELF = Paper(105, 74)

# Where much is kept the label grows, so that its words stay readable and none is left out.
SIZES = (SHELF, page.A6, Paper(148, 210))
FIGURES = 12.2 * mm
_EDGE = 5 * mm


@dataclass(frozen=True)
class Kept:
    """One thing kept at a place: `reorder_at` such as "1.36 kg", or empty; `hazard` a word such as "Danger", or empty."""

    name: str
    reorder_at: str = ""
    hazard: str = ""


@dataclass(frozen=True)
class ShelfLabel:
    """One place by its code or name, and what is kept there."""

    place: str
    kept: tuple[Kept, ...]
    workshop: str = ""
    words: Words = Words()


def render(label: ShelfLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The label as PDF on the smallest size that holds it: a page a copy, or laid on `sheet` (A4 takes eight of 105 × 74 mm)."""
    return cards.render(card(label), copies, sheet)


def card(label: ShelfLabel) -> Card:
    title = label.words("shelf.title", place=label.place)
    return Card(partial(draw, label=label), SIZES, title, label.workshop or "Tawery")


def draw(on: Any, place: Box, label: ShelfLabel) -> None:
    """The label in a box of 105 × 74 mm or more; in a smaller one in short."""
    paras = [para for kept in label.kept for para in _kept(kept, label.words)] or [Para(label.words("shelf.nothing"))]
    if not short.roomy(place, SHELF):
        short.put(on, place, head=label.place, code=label.place, paras=paras, whole="list of what is kept")
        return
    strip, rest = codes.corner(on, place.inset(_EDGE), label.place).cut_top(FIGURES * (1 + page.HANG))
    try:
        page.tall(on, strip.cut_top(FIGURES)[0], label.place, whole="name of the place")
    except TextTooLong:
        page.text(on, strip, label.place, size=14, smallest=9, bold=True, whole="name of the place")
    page.rule(on, rest, 1.2)
    _, rest = rest.cut_top(0, gap=2 * mm)
    stack.put(on, rest, paras, size=15, smallest=6, whole="list of what is kept")


def _kept(kept: Kept, words: Words) -> tuple[Para, Para]:
    reorder = words("shelf.reorder", amount=kept.reorder_at) if kept.reorder_at else ""
    return (
        Para(kept.name, bold=True, right=hazards.told(kept.hazard, words).upper(), before=3),
        Para(reorder, larger=-1),
    )
