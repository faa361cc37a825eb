"""Owns what labels on vessels and jars share: size by what the vessel holds, the pictogram's place, the hazard words.

Pictograms are drawn by standard and come from the supplier, so the label keeps a place to stick one on. Words are never cut:
a label whose words have no room at a size that can be read is printed on the next larger size. Must not choose the words.

Sizes of label and pictogram by volume: the EU's rules for supplied chemicals (Regulation (EC) 1272/2008, Annex I, table
1.3), as restated by a national authority. The vessels of one's own workshop need not follow them; they are a good measure.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import partial
from typing import Any

from reportlab.lib.units import mm

from inventory.errors import Refused
from workshop.documents.kit import cards, codes, page, short, stack
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.stack import Para
from workshop.documents.kit.text import LEAST
from workshop.documents.labels import hazards
from workshop.documents.words.rules import Words

# Small type that is still read at arm's length: an x-height of 1.2 mm; common practice, no source.
SMALLEST = 6.5

# Holds a number with figures of 10 mm, to be read across a tub, and what hangs below its line.
LEAST_HEAD = 10.2 * mm * (1 + page.HANG)


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

MOST_LITRES = 1_000_000


def sizes_for(litres: Decimal) -> tuple[Size, ...]:
    """The size for a vessel that holds so many litres, then the larger ones.

    >>> [size.paper.width_mm for size in sizes_for(Decimal(50))]
    [74, 105, 148]
    """
    if not litres.is_finite() or not 0 < litres <= MOST_LITRES:
        raise Refused(
            f"A label is sized by what its vessel holds, and {litres} L is no volume. Enter the litres, at most {MOST_LITRES}.",
            field="litres",
        )
    return tuple(size for size in SIZES if litres <= size.up_to)


@dataclass(frozen=True)
class VesselLabel:
    """What a label says: its name, what is known of the contents, hazards, whose words they are, precautions (the usual ones
    where there are none), standing lines.

    `litres` is what the vessel holds; `tall` sets the name, a number, as large as its strip.
    """

    title: str
    name: str
    facts: tuple[Para, ...]
    hazards: tuple[str, ...]
    warned_by: str
    precautions: tuple[str, ...]
    standing: tuple[str, ...]
    no_hazards: str
    litres: Decimal
    workshop: str
    tall: bool = False
    code: str = ""
    words: Words = Words()

    @property
    def hazardous(self) -> bool:
        return any(word.strip() for word in self.hazards)


def render(label: VesselLabel, copies: int, sheet: Paper | None) -> bytes:
    return cards.render(card(label), copies, sheet)


def card(label: VesselLabel) -> Card:
    """On its own pages of the smallest size that suits the vessel and holds the words."""
    sizes = [size.paper for size in sizes_for(label.litres)]
    return Card(partial(draw, label=label), sizes, label.title, label.workshop or "Tawery")


def draw(on: Any, place: Box, label: VesselLabel) -> None:
    """In any box; the pictogram's place is as large as the vessel's size asks, or the box's where that is larger."""
    fitting = [size for size in sizes_for(label.litres) if short.roomy(place, size.paper)]
    size = fitting[-1] if fitting else sizes_for(label.litres)[0]
    inner = place.inset(min(size.edge, place.width * 0.05))
    side = size.place_mm * mm
    band, rest = inner.cut_top(max(LEAST_HEAD, side if label.hazardous else side * 0.55), gap=1 * mm)
    if label.hazardous:
        band, corner = band.cut_left(band.width - side - 2 * mm, gap=2 * mm)
        _pictogram(on, corner.cut_top(side)[0], size, label.words)
    if label.code:
        band = codes.corner(on, band, label.code)
    if label.tall:
        figures, _ = band.cut_top(band.height / (1 + page.HANG))
        page.tall(on, figures, label.name, whole="batch number", smallest=7)
    else:
        page.text(on, band, label.name, size=band.height * 0.3, smallest=7, bold=True, whole="name of what is inside")
    paras = (*label.facts, *_hazards(label))
    stack.put(on, rest, paras, size=size.largest, smallest=SMALLEST, whole="words of the label")


def _hazards(label: VesselLabel) -> Sequence[Para]:
    signal, sentences = hazards.split(label.hazards)
    own = " ".join(hazards.told(one, label.words) for one in sentences) if label.hazardous else label.no_hazards
    precautions = label.precautions or label.words.lines("vessel.precautions")
    return (
        Para(hazards.told(signal, label.words).upper(), bold=True, larger=3, before=5, ruled=True),
        Para(own, bold=label.hazardous, before=0 if signal else 5, ruled=not signal),
        Para(label.warned_by if label.hazardous else "", before=0.5),
        Para(" ".join(precautions) if label.hazardous else "", before=1.5),
        Para(" ".join(label.standing), before=1.5),
        Para(label.words("vessel.sheet"), bold=True, before=1.5),
    )


def _pictogram(on: Any, place: Box, size: Size, words: Words) -> None:
    on.setLineWidth(0.6)
    on.setDash(2, 2)
    on.rect(place.x, place.y, place.width, place.height)
    on.setDash()
    said = words("vessel.pictogram", least=size.pictogram_mm)
    page.text(on, place.inset(place.width * 0.06), said, size=9, smallest=LEAST, align="centre", middle=True)
