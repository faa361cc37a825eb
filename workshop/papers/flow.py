"""Owns flowing pieces down numbered pages: a heading stays with what it heads, a table's head is repeated.

Must not know what the pieces say.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.lib.units import mm

from workshop.papers import kit
from workshop.papers.kit import Box, Paper

MARGIN = 14 * mm


_FOOT = 8 * mm


@dataclass(frozen=True)
class Piece:
    """Something drawn in a box of full width and this height; `follows` points must still fit under it on its page.

    `over`, of a row in a table with sums: what a page that breaks before it ends with, and what the next begins with. The row
    before it leaves that much room by its `follows`.
    """

    height: float
    draw: Callable[[Any, Box], None]
    head: Piece | None = None
    follows: float = 0
    over: tuple[Piece, Piece] | None = None


def room(paper: Paper) -> Box:
    """The part of a page that pieces may fill."""
    inner = paper.box.inset(MARGIN)
    return Box(inner.x, inner.y + _FOOT, inner.width, inner.height - _FOOT)


def paginate(pieces: Sequence[Piece], height: float) -> list[list[Piece]]:
    """Pieces by page, a table's head put before the first row of a page that continues the table."""
    pages: list[list[Piece]] = [[]]
    left = height
    for piece in pieces:
        if piece.height + piece.follows > left and pages[-1]:
            carried, brought = piece.over or (None, None)
            pages[-1] += [carried] if carried else []
            pages.append([each for each in (piece.head, brought) if each])
            left = height - sum(one.height for one in pages[-1])
        pages[-1].append(piece)
        left -= piece.height
    return pages


def document(pieces: Sequence[Piece], paper: Paper, *, title: str, author: str, foot: str) -> bytes:
    """A PDF of the pieces; each page ends with `foot` and "page n of m"."""
    buffer = BytesIO()
    on = kit.canvas(buffer, paper, title, author)
    box = room(paper)
    pages = paginate(pieces, box.height)
    for index, page in enumerate(pages, start=1):
        rest = box
        for piece in page:
            place, rest = rest.cut_top(piece.height)
            piece.draw(on, place)
        _foot(on, Box(box.x, box.y - _FOOT, box.width, _FOOT), foot, f"page {index} of {len(pages)}")
        on.showPage()
    on.save()
    return buffer.getvalue()


def _foot(on: Any, box: Box, foot: str, count: str) -> None:
    _, line = box.cut_top(0, gap=3 * mm)
    words, page = line.cut_left(line.width - 32 * mm, gap=2 * mm)
    kit.text(on, words, foot, size=8, smallest=6, one_line=True)
    kit.text(on, page, count, size=8, smallest=6, one_line=True, align="right")
