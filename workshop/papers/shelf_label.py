"""Owns the label on a shelf or other place: its name, what is kept there, the least to have, and a hazard word.

Must not read a stock: the figures on a shelf are what should be there, never what is.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from reportlab.lib.units import mm

from workshop.papers import kit, stack
from workshop.papers.errors import TextTooLong
from workshop.papers.kit import Box, Paper
from workshop.papers.stack import Para

SHELF = Paper(105, 74)


# Where much is kept the label grows, so that its words stay readable and none is left out.
SIZES = (SHELF, kit.A6, Paper(148, 210))


FIGURES = 12.2 * mm


_EDGE = 5 * mm


@dataclass(frozen=True)
class Kept:
    """One thing kept at a place: `minimum` such as "1.36 kg", or empty; `hazard` a word such as "Danger", or empty."""

    name: str
    minimum: str = ""
    hazard: str = ""


@dataclass(frozen=True)
class ShelfLabel:
    """One place by its code or name, and what is kept there."""

    place: str
    kept: tuple[Kept, ...]
    workshop: str = ""


def render(label: ShelfLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The label as PDF on the smallest size that holds it: a page a copy, or laid on `sheet` (A4 takes eight of 105 × 74 mm)."""

    def draw(on: Any, page: Box) -> None:
        _label(on, page, label)

    title, author = f"Shelf label {label.place}", label.workshop or "Tawery"
    for size in SIZES:
        laid = sheet.for_most(size) if sheet else None
        try:
            return kit.cards(draw, size, copies=copies, sheet=laid, title=title, author=author)
        except TextTooLong:
            if size is SIZES[-1]:
                raise
    raise AssertionError("there is always a largest size")


def _label(on: Any, page: Box, label: ShelfLabel) -> None:
    figures, rest = page.inset(_EDGE).cut_top(FIGURES, gap=FIGURES * kit.HANG)
    kit.tall(on, figures, label.place, whole="name of the place")
    kit.rule(on, rest, 1.2)
    _, rest = rest.cut_top(0, gap=2 * mm)
    said = [para for kept in label.kept for para in _kept(kept)] or [Para("Nothing is listed here")]
    stack.draw(on, rest, stack.fit(said, rest.width, rest.height, size=15, smallest=6, whole="list of what is kept"))


def _kept(kept: Kept) -> tuple[Para, Para]:
    minimum = f"At least {kept.minimum}" if kept.minimum else ""
    return (
        Para(kept.name, bold=True, right=kept.hazard.upper(), before=3),
        Para(minimum, larger=-1),
    )
