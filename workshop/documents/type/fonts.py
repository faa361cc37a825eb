"""Owns the type of every paper: Noto Sans, regular and bold, Noto Serif for headlines; for a letter they lack, a face that has it.

Nearly every text has none such, and is told so at once. Must not know any paper.
"""

from functools import cache, lru_cache
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from workshop.documents.type import cuts, order, runs
from workshop.documents.type.cuts import BOLD, REGULAR, SERIF

__all__ = ["BOLD", "REGULAR", "SERIF", "check", "draw", "headline", "plain", "register", "turned", "width"]


@cache
def register() -> None:
    """Make both cuts known to the drawing library. Cheap after the first call."""
    place = cuts.folder()
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(cuts.cut(name, place))))


@cache
def _serif() -> frozenset[str]:
    """The letters of the type of headlines, which is cut when the first is printed."""
    pdfmetrics.registerFont(TTFont(SERIF, str(cuts.cut(SERIF, cuts.folder()))))
    return frozenset(chr(code) for code in pdfmetrics.getFont(SERIF).face.charToGlyph)


def headline(text: str) -> str:
    """The type that a headline is set in: with serifs, or bold where one of its letters has none."""
    return SERIF if _serif().issuperset(text) else BOLD


def plain(text: str) -> bool:
    """Whether the type of all papers has every letter of the text, and none turns its order round."""
    return text.isascii() or _own().issuperset(text)


def width(text: str, font: str, size: float) -> float:
    """Width of `text` in points, set in `font` at `size` points."""
    if plain(text):
        return 0.001 * size * _thousandths(text, font)
    return runs.lay(text, font).width * size


@lru_cache(16384)  # a text is tried at several sizes and beside several words
def _thousandths(text: str, font: str) -> float:
    """How wide a text is at a size of a thousand, as the drawing library adds it up."""
    face = pdfmetrics.getFont(font).face
    widths, usual = face.charWidths, face.defaultWidth
    return float(sum([widths.get(ord(letter), usual) for letter in text]))


def turned(text: str) -> bool:
    """Whether a paragraph starts at the right: its first letter with a direction runs to the left."""
    return not plain(text) and order.right_to_left(text)


def check(text: str, what: str = "") -> None:
    """Refused, naming the text and `what` it is, where nothing installed has one of its letters."""
    if not text.isascii():
        register()
        if not plain(text):
            runs.check(text, what)


def draw(on: Any, x: float, y: float, text: str, font: str, size: float) -> None:
    """Draw a line of any script from `x` on."""
    runs.draw(on, x, y, runs.lay(text, font), size)


@cache
def _own() -> frozenset[str]:
    letters = (chr(code) for code in pdfmetrics.getFont(REGULAR).face.charToGlyph)
    return frozenset(
        {"\n", "\u00ad", *letters} - {chr(code) for code in (*runs.UNSEEN, *order.FORCING) if code != 0xAD}
    )
