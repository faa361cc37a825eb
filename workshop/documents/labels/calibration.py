"""Owns the calibration page: the outline of every label of a sheet, to be held against the sheet itself.

It shows the sheet exactly as labels are printed on it, its offset included. Must not know whose sheet it is.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import FILL_EVEN_ODD

from inventory import formats
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
_CLEAR = 0.2 * mm  # round a figure, without an outline
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
    """A scale: every which tick is longer, and whether such a one has its number."""

    longer: int
    longest: int
    numbered: Callable[[int], bool]

    def length(self, n: int) -> float:
        """Of the tick so many from zero."""
        return float(_TALL if n % self.longest == 0 else _MIDDLE if n % self.longer == 0 else _SHORT)


# Numbers of inches stand two tenths apart, since more have no room, and at 0.1 first, which is most printers' miss.
_SCALES = {
    MM: Ticks(longer=5, longest=10, numbered=lambda n: n % 5 == 0),
    INCHES: Ticks(longer=5, longest=5, numbered=lambda n: n % 10 == 5),
}


def render(of: Calibration) -> bytes:
    """The page as PDF, on the sheet's own paper."""
    layout = cards.on_sheet(of.sheet)
    buffer = BytesIO()
    title = of.words("calibration.title")
    on = page.canvas(buffer, layout.paper, title, of.author or "Tawery", language=of.words.language)
    edges = edges_of(layout)
    with on.marked("Figure", alt=of.words("calibration.outlines", count=of.sheet.count), box=layout.paper.size):
        marks = list(_marks(on, layout, edges, of.ruler))
        _outlines(on, layout, [mark.spot for mark in marks if mark.figure])
        for mark in marks:
            on.line(*mark.line)
            on.drawString(mark.spot.x, mark.spot.y, mark.figure)
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


def _outlines(on: Any, layout: Layout, figures: Iterable[Box]) -> None:
    """No outline runs through a figure of a scale, as the next label's would."""
    on.setLineWidth(OUTLINE)
    on.setFont(fonts.REGULAR, _FIGURE)
    on.saveState()
    around = on.beginPath()
    for box in (layout.paper.box, *(figure.inset(-_CLEAR) for figure in figures)):
        around.rect(box.x, box.y, box.width, box.height)
    on.clipPath(around, stroke=0, fill=0, fillMode=FILL_EVEN_ODD)
    for place in layout.places:
        on.rect(place.x, place.y, place.width, place.height)
    on.restoreState()
    arm = min(_ARM, _CROSS * layout.places[0].width, _CROSS * layout.places[0].height)
    for at, place in enumerate(layout.places, start=1):
        x, y = place.x + place.width / 2, place.y + place.height / 2
        on.line(x - arm, y, x + arm, y)
        on.line(x, y - arm, x, y + arm)
        on.drawString(x + _AWAY, y - _AWAY - _FIGURE * page.FIGURE_HEIGHT, str(at))


@dataclass(frozen=True)
class Mark:
    """A tick of a scale, and its number with the spot that it takes; most have none."""

    line: tuple[float, float, float, float]
    figure: str
    spot: Box


def _marks(on: Any, layout: Layout, edges: Edges, ruler: Ruler) -> Iterator[Mark]:
    inside = layout.paper.box.inset(UNPRINTED)
    ticks, first = _SCALES[ruler], edges.first
    for zero, side, level in ((edges.across, first.width, True), (edges.down, first.height, False)):
        if zero is None:
            continue
        for n, far in _steps(ruler, side):
            x, y = (zero[0] - far, zero[1]) if level else (zero[0], zero[1] + far)
            if inside.x <= x <= inside.right and inside.y <= y <= inside.top:
                figure = formats.plain(n * ruler.tick) if n and ticks.numbered(n) else ""
                yield _mark(
                    x, y, ticks.length(n) / 2, figure, on.stringWidth(figure, fonts.REGULAR, _FIGURE), level=level
                )


def _steps(ruler: Ruler, side: float) -> Iterator[tuple[int, float]]:
    """Each tick of a scale that reaches into a side, as its number and its distance from zero. It stands where the real edge
    crosses of an outline that is printed so far off: to the left of it where that is too far right, above where it is too low.
    """
    apart = float(ruler.kept(ruler.tick)) * float(mm)
    most = int(_reach(side) / apart + _HAIR)
    for n in range(-most, most + 1):
        yield n, n * apart


def _mark(x: float, y: float, half: float, figure: str, wide: float, *, level: bool) -> Mark:
    high, away = _FIGURE * page.FIGURE_HEIGHT, half + _AWAY / 2
    if level:
        return Mark((x, y - half, x, y + half), figure, Box(x - wide / 2, y + away, wide, high))
    return Mark((x - half, y, x + half, y), figure, Box(x + away, y - high / 2, wide, high))


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
