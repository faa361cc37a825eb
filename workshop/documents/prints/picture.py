"""The first page of a run as a picture: which places are used, which get a label, which stay free. Knows no table and no form.

A place is drawn where the printer will put it. What stands in it is the name of its thing and not the label itself: nothing that is
installed turns a PDF into a picture, and a name is what one looks for on a sheet.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby, islice

from reportlab.lib.units import mm

from workshop.documents.kit import cards
from workshop.documents.kit.cards import Layout
from workshop.documents.kit.page import Box, Paper
from workshop.documents.labelling import Laid

USED, LABEL, FREE = "used", "label", "free"
MOST_DRAWN = 200  # more places are too small to print a label on, and to be hit by a finger
_LETTER = 0.62  # of its height: about how wide a letter is
_LARGEST = 9.0  # millimetres


@dataclass(frozen=True)
class Spot:
    """A place on the page: what becomes of it, and in millimetres from the upper left corner where it is. `size`: of its name."""

    number: int
    state: str
    name: str
    left: str
    top: str
    width: str
    height: str
    middle: str
    line: str
    size: str


@dataclass(frozen=True)
class Picture:
    """`width` and `height` of the page in millimetres."""

    width: str
    height: str
    spots: tuple[Spot, ...]


def first_page(laid: Laid) -> Picture:
    """What a run puts on its first page."""
    each = (name for name in laid.named for _ in range(laid.run.copies))
    if laid.layout is None:
        paper = cards.own_size(laid.cards[0])
        layout = Layout(paper, (paper.box,))
    else:
        layout = laid.layout
    paper = layout.paper
    names = ["" for _ in range(laid.run.start - 1)] + list(islice(each, len(layout.places)))
    spots = tuple(
        _spot(paper, place, number, laid.run.start, names[number - 1] if number <= len(names) else None)
        for number, place in enumerate(layout.places, 1)
    )
    return Picture(_mm(paper.width_mm), _mm(paper.height_mm), spots)


def rows(layout: Layout) -> list[list[int]]:
    """The numbers of the places, row by row, as they are on the sheet.

    >>> rows(cards.apart(Paper(210, 297), Paper(105, 148)))
    [[1, 2], [3, 4]]
    """
    numbered: Sequence[tuple[int, Box]] = list(enumerate(layout.places, 1))
    return [[number for number, _ in row] for _, row in groupby(numbered, key=lambda one: round(one[1].y))]


def _spot(paper: Paper, place: Box, number: int, start: int, name: str | None) -> Spot:
    left, top = place.x / mm, paper.height_mm - place.top / mm
    width, height = place.width / mm, place.height / mm
    state = USED if number < start else FREE if name is None else LABEL
    shown = (name or "") if state == LABEL else str(number)
    size = min(_LARGEST, height * 0.4, (width - 4) / (_LETTER * max(3, len(shown))))
    return Spot(
        number,
        state,
        shown,
        _mm(left),
        _mm(top),
        _mm(width),
        _mm(height),
        _mm(left + width / 2),
        _mm(top + height / 2 + size * 0.36),
        _mm(max(1.0, size)),
    )


def _mm(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
