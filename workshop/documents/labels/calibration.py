"""Owns the calibration page: the outline of every label of a sheet, to be held against the sheet itself.

It shows the sheet exactly as labels are printed on it, its offset included. Must not know whose sheet it is.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from io import BytesIO
from typing import Any

from reportlab.lib.units import mm

from inventory import formats, units
from inventory.base.labels import rules
from inventory.base.labels.lengths import INCHES, MM, Ruler
from inventory.base.labels.rules import Sheet
from workshop.documents.kit import cards, page
from workshop.documents.kit.cards import Layout
from workshop.documents.kit.page import UNPRINTED, Box
from workshop.documents.kit.text import TextTooLong, fit
from workshop.documents.type import fonts
from workshop.documents.words.rules import Words

OUTLINE = 0.3
_ARM = 2 * mm  # of the cross at a label's middle, or in a small label
_CROSS = 0.12  # of its shorter side
_AWAY = 0.8 * mm  # a figure from what it belongs to
_FIGURE = 6.0  # points; the smallest that is read without glasses
_HAIR = 1e-6  # a scale ends with a tick
_SHARE = 0.4  # of a label's side, how far a scale may reach into it
_APART = 6 * mm  # a scale stands at an edge that lies at least as far inside the paper
_TALL, _MIDDLE, _SHORT = 2.2 * mm, 1.7 * mm, 1.0 * mm


@dataclass(frozen=True)
class Calibration:
    sheet: Sheet
    author: str = ""
    words: Words = Words()
    ruler: Ruler = MM

    @property
    def offset(self) -> str:
        """What the page is printed with, as the maker must find it in Setup when he enters what he measured."""
        across, down = self.ruler.told(self.sheet.offset_x), self.ruler.told(self.sheet.offset_y)
        return self.words("calibration.offset", across=across, down=down)


@dataclass(frozen=True)
class Edges:
    """Where on label 1 the scales stand, and on which side of its middle.

    An edge that is the paper's own cannot be printed or compared: then the label's other edge is taken. Where that is the
    paper's own too, as on a roll, there is no scale, and the cross is measured with a ruler.
    """

    first: Box
    paper: Box
    right: bool
    bottom: bool

    @property
    def across(self) -> tuple[float, float] | None:
        """The zero of the scale that tells how far right: on an upright edge."""
        x = self.first.right if self.right else self.first.x
        high = 0.75 if self.bottom else 0.25
        return (x, self.first.y + high * self.first.height) if _apart(x, self.paper.right) else None

    @property
    def down(self) -> tuple[float, float] | None:
        """The zero of the scale that tells how low: on a level edge."""
        y = self.first.y if self.bottom else self.first.top
        wide = 0.25 if self.right else 0.75
        return (self.first.x + wide * self.first.width, y) if _apart(y, self.paper.top) else None

    @property
    def free(self) -> Box:
        """A quarter of the label without a scale, a little apart from its edges and its cross."""
        wide, high = self.first.width / 2, self.first.height / 2
        left = self.first.x if self.right == self.bottom else self.first.x + wide
        box = Box(left, self.first.y + high, wide, high)
        return box.inset(min(2 * mm, wide / 8, high / 8))


@dataclass(frozen=True)
class Ticks:
    """A scale: how far apart its ticks are on the ruler, every which is longer, and whether such a one has its number."""

    apart: Decimal
    longer: int
    longest: int
    numbered: Callable[[int], bool]

    def length(self, n: int) -> float:
        """Of the tick so many from zero."""
        return float(_TALL if n % self.longest == 0 else _MIDDLE if n % self.longer == 0 else _SHORT)


# Numbers of inches stand two tenths apart, since more have no room, and at 0.1 first, which is most printers' miss.
_SCALES = {
    MM: Ticks(Decimal(1), longer=5, longest=10, numbered=lambda n: n % 5 == 0),
    INCHES: Ticks(Decimal("0.02"), longer=5, longest=10, numbered=lambda n: n % 10 == 5),
}


def render(of: Calibration) -> bytes:
    """The page as PDF, on the sheet's own paper."""
    layout = cards.on_sheet(of.sheet)
    buffer = BytesIO()
    title = of.words("calibration.title")
    on = page.canvas(buffer, layout.paper, title, of.author or "Tawery", language=of.words.language)
    edges = edges_of(layout)
    with on.marked("Figure", alt=of.words("calibration.outlines", count=of.sheet.count), box=layout.paper.size):
        _outlines(on, layout)
        if edges.across:
            _scale(on, *edges.across, _reach(edges.first.width), layout, of.ruler, level=True)
        if edges.down:
            _scale(on, *edges.down, _reach(edges.first.height), layout, of.ruler, level=False)
    for box, phrase in _placed(of, layout, edges):
        page.text(on, box, phrase, size=9, smallest=_FIGURE)
    on.showPage()
    on.save()
    return buffer.getvalue()


def edges_of(layout: Layout) -> Edges:
    """The edges of label 1 that the scales stand on."""
    first, paper = layout.places[0], layout.paper.box
    right = not _apart(first.x, paper.right) and _apart(first.right, paper.right)
    bottom = not _apart(first.top, paper.top) and _apart(first.y, paper.top)
    return Edges(first, paper, right, bottom)


def _apart(edge: float, end: float) -> bool:
    return bool(_APART <= edge <= end - _APART)


def _reach(side: float) -> float:
    return min(float(rules.FARTHEST) * float(mm), side * _SHARE)


def _outlines(on: Any, layout: Layout) -> None:
    on.setLineWidth(OUTLINE)
    on.setFont(fonts.REGULAR, _FIGURE)
    arm = min(_ARM, _CROSS * layout.places[0].width, _CROSS * layout.places[0].height)
    for at, place in enumerate(layout.places, start=1):
        on.rect(place.x, place.y, place.width, place.height)
        x, y = place.x + place.width / 2, place.y + place.height / 2
        on.line(x - arm, y, x + arm, y)
        on.line(x, y - arm, x, y + arm)
        on.drawString(x + _AWAY, y - _AWAY - _FIGURE * page.FIGURE_HEIGHT, str(at))


def _scale(on: Any, x: float, y: float, reach: float, layout: Layout, ruler: Ruler, *, level: bool) -> None:
    """The ruler about a zero, with the number that is entered where the real edge crosses: to the left of the outline it is
    printed too far right, above it too low.
    """
    inside = layout.paper.box.inset(UNPRINTED)
    ticks = _SCALES[ruler]
    apart = float(units.to_base(ticks.apart, ruler.unit, "mm")) * mm
    most = int(reach / apart + _HAIR)
    for n in range(-most, most + 1):
        across, up = (x - n * apart, y) if level else (x, y + n * apart)
        if not (inside.x <= across <= inside.right and inside.y <= up <= inside.top):
            continue
        half = ticks.length(n) / 2
        on.setLineWidth(OUTLINE)
        wide, high = (0, half) if level else (half, 0)
        on.line(across - wide, up - high, across + wide, up + high)
        if n and ticks.numbered(n):
            _figure(on, across, up, formats.plain(n * ticks.apart), half + _AWAY / 2, level=level)


def _figure(on: Any, x: float, y: float, figure: str, away: float, *, level: bool) -> None:
    on.setFont(fonts.REGULAR, _FIGURE)
    if level:
        on.drawCentredString(x, y + away, figure)
    else:
        on.drawString(x + away, y - _FIGURE * page.FIGURE_HEIGHT / 2, figure)


def _placed(of: Calibration, layout: Layout, edges: Edges) -> Iterator[tuple[Box, str]]:
    """Where the words go: each into the upper half of a label without a scale; one that has no room there is left out, since all
    of them stand in Setup too.
    """
    said = [of.words(f"calibration.{key}") for key in ("title", "print", "light", "read")]
    said.insert(2, of.offset)
    taken = {0, 1, of.sheet.columns}
    boxes = [_upper(place) for at, place in enumerate(layout.places) if at not in taken]
    if not boxes:
        boxes, said = [edges.free], [" ".join((f"{said[0]}.", said[1], said[2])), said[1]]
    for phrase in said:
        if boxes and _fits(phrase, boxes[0]):
            yield boxes.pop(0), phrase


def _upper(place: Box) -> Box:
    edge = min(2 * mm, place.height / 12)
    half = place.inset(edge)
    return Box(half.x, half.y + half.height / 2 + _ARM / 2, half.width, half.height / 2 - _ARM / 2)


def _fits(phrase: str, box: Box) -> bool:
    try:
        fit(phrase, width=box.width, height=box.height, size=9, smallest=_FIGURE, whole="words")
    except TextTooLong:
        return False
    return True
