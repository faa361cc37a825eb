"""Owns what labels on vessels and jars share: size by what the vessel holds, the pictogram's place, the hazard words.

Pictograms are drawn by standard and come from the supplier, so the label keeps a place to stick one on. Words are never cut:
a label whose words have no room at a size that can be read is printed on the next larger size. Must not choose the words.

Sizes of label and pictogram by volume: the EU's rules for supplied chemicals (Regulation (EC) 1272/2008, Annex I, table
1.3), as restated by a national authority. The vessels of one's own workshop need not follow them; they are a good measure.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from reportlab.lib.units import mm

from costing.make.baths.chemistry import cautions
from workshop.papers import hazards, kit, stack
from workshop.papers.errors import TextTooLong, WrongVolume
from workshop.papers.kit import Box, Paper
from workshop.papers.stack import Para

# Small type that is still read at arm's length: an x-height of 1.2 mm; common practice, no source.
SMALLEST = 6.5


# Holds a number with figures of 10 mm, to be read across a tub, and what hangs below its line.
LEAST_HEAD = 10.2 * mm * (1 + kit.HANG)


@dataclass(frozen=True)
class Size:
    """A label for vessels that hold up to so many litres, and the least side of a pictogram on it."""

    paper: Paper
    up_to: Decimal
    pictogram_mm: int
    largest: float

    @property
    def place_mm(self) -> int:
        """Side of the place kept for the pictogram: a little over the least, so that it need not be stuck on to a hair."""
        return self.pictogram_mm + 2

    @property
    def edge(self) -> float:
        return float(max(3, self.paper.width_mm * 0.05) * mm)


SIZES = (
    Size(Paper(52, 74), Decimal(3), 10, 8.5),
    Size(Paper(74, 105), Decimal(50), 23, 10.5),
    Size(Paper(105, 148), Decimal(500), 32, 13.5),
    Size(Paper(148, 210), Decimal("Infinity"), 46, 18),
)


def sizes_for(litres: Decimal) -> tuple[Size, ...]:
    """The size for a vessel that holds so many litres, then the larger ones.

    >>> [size.paper.width_mm for size in sizes_for(Decimal(50))]
    [74, 105, 148]
    """
    if not litres.is_finite() or litres <= 0:
        raise WrongVolume(litres)
    return tuple(size for size in SIZES if litres <= size.up_to)


@dataclass(frozen=True)
class Words:
    """What a label says: its large name, what is known of the contents, then hazards, precautions and standing lines."""

    name: str
    facts: tuple[Para, ...]
    hazards: tuple[str, ...]
    precautions: tuple[str, ...]
    standing: tuple[str, ...]
    no_hazards: str

    @property
    def hazardous(self) -> bool:
        return any(word.strip() for word in self.hazards)


# Draws the name in its strip.
Head = Callable[[Any, Box, str], None]


def render(
    words: Words, litres: Decimal, head: Head, *, copies: int, sheet: Paper | None, title: str, author: str
) -> bytes:
    """The label on the smallest size that suits the vessel and holds the words."""
    sizes = sizes_for(litres)
    for size in sizes:
        try:
            return _on(size, words, head, copies=copies, sheet=sheet, title=title, author=author)
        except TextTooLong:
            if size is sizes[-1]:
                raise
    raise AssertionError("there is always a largest size")


def _on(size: Size, words: Words, head: Head, *, copies: int, sheet: Paper | None, title: str, author: str) -> bytes:
    def draw(on: Any, page: Box) -> None:
        _label(on, page, size, words, head)

    laid = sheet.for_most(size.paper) if sheet else None
    return kit.cards(draw, size.paper, copies=copies, sheet=laid, title=title, author=author)


def _label(on: Any, page: Box, size: Size, words: Words, head: Head) -> None:
    inner = page.inset(size.edge)
    side = size.place_mm * mm
    band, rest = inner.cut_top(max(LEAST_HEAD, side if words.hazardous else side * 0.55), gap=1 * mm)
    if words.hazardous:
        left, place = band.cut_left(band.width - side - 2 * mm, gap=2 * mm)
        _pictogram(on, place.cut_top(side)[0], size)
        head(on, left, words.name)
    else:
        head(on, band, words.name)
    paras = (*words.facts, *_said(words))
    stack.draw(
        on,
        rest,
        stack.fit(paras, rest.width, rest.height, size=size.largest, smallest=SMALLEST, whole="words of the label"),
    )


def _said(words: Words) -> Sequence[Para]:
    signal, sentences = hazards.split(words.hazards)
    own = " ".join(sentences) if words.hazardous else words.no_hazards
    return (
        Para(signal.upper(), bold=True, larger=3, before=5, ruled=True),
        Para(own, bold=words.hazardous, before=0 if signal else 5, ruled=not signal),
        Para(" ".join(words.precautions), before=1.5),
        Para(" ".join(words.standing), before=1.5),
        Para(cautions.SHEET, bold=True, before=1.5),
    )


def _pictogram(on: Any, place: Box, size: Size) -> None:
    on.setLineWidth(0.6)
    on.setDash(2, 2)
    on.rect(place.x, place.y, place.width, place.height)
    on.setDash()
    words = f"Pictogram of the data sheet, {size.pictogram_mm} mm or more"
    kit.text(on, place.inset(place.width * 0.06), words, size=9, smallest=4, align="centre", middle=True)
