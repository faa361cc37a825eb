"""Owns the strokes that all charts are drawn with: a sheet, a line, words, how wide words run, and a plot over days.

Black ink in one size of type. Must not know what a chart shows.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from reportlab.graphics.shapes import Drawing, Line, PolyLine, String
from reportlab.lib.colors import Color, black

from workshop.documents.kit.wording import day
from workshop.documents.type import fonts, runs

TYPE = 11.0
PHONE = 340

# A page sets the chart in the reader's own sans-serif, which may run wider than the type measured here.
SPREAD = 1.12


class Accent(Color):  # type: ignore[misc]
    """Black on paper; on a page the colour that the look has by this name. It only ever stands beside words."""

    def __init__(self, name: str) -> None:
        super().__init__(0, 0, 0)
        self.name = name


RUST, MOSS, BARK = map(Accent, ("rust", "moss", "bark"))


class Sheet(Drawing):  # type: ignore[misc]
    """A drawing; on paper its words are set as all words of papers are, whatever their script."""

    def draw(self, *boundary: Any) -> None:
        shapes: list[Any] = self.contents
        self.contents: list[Any] = [part for shape in shapes for part in _set(shape)]
        super().draw(*boundary)
        self.contents = shapes


def _set(shape: Any) -> Iterator[Any]:
    if not isinstance(shape, String) or fonts.plain(shape.text):
        yield shape
        return
    line = runs.lay(shape.text, shape.fontName)
    size = shape.fontSize * line.scale
    x = shape.x - line.width * shape.fontSize * {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.textAnchor]
    for run in line.runs:
        yield String(x, shape.y, run.signs, fontName=run.cut.name, fontSize=size, fillColor=shape.fillColor)
        x += run.width * size


def sheet(width: float, height: float) -> Drawing:
    fonts.register()
    return Sheet(width, height, initialFontName=fonts.REGULAR, initialFontSize=TYPE)


def width_of(text: str, *, bold: bool = False) -> float:
    fonts.register()
    try:
        return fonts.width(text, fonts.BOLD if bold else fonts.REGULAR, TYPE) * SPREAD
    except runs.NoType:  # a page shows what the reader's own type has; a paper refuses it when it is drawn
        return len(text) * TYPE * SPREAD


def words(x: float, y: float, text: str, *, anchor: str = "start", bold: bool = False, colour: Color = black) -> String:
    font = fonts.BOLD if bold else fonts.REGULAR
    return String(x, y, text, fontName=font, fontSize=TYPE, fillColor=colour, textAnchor=anchor)


def line(
    x1: float, y1: float, x2: float, y2: float, *, thick: float = 1.0, dash: Sequence[float] | None = None
) -> Line:
    return Line(x1, y1, x2, y2, strokeColor=black, strokeWidth=thick, strokeDashArray=dash)


@dataclass(frozen=True)
class Plot:
    """The part of a chart where amounts rise from `low` on the floor to `high` at the ceiling, left of `width`."""

    low: Decimal
    high: Decimal
    left: float
    width: float
    floor: float
    ceiling: float

    @property
    def right(self) -> float:
        return self.width - 6

    def y(self, amount: Decimal) -> float:
        return self.floor + (self.ceiling - self.floor) * float((amount - self.low) / ((self.high - self.low) or 1))

    def figures(self, ticks: Iterable[tuple[Decimal, str]]) -> Iterator[tuple[Decimal, float, String | None]]:
        """Each amount, how high it is, and its words: where two would overlap, the later one gives way."""
        taken: list[float] = []
        for amount, text in ticks:
            y = self.y(amount)
            free = all(abs(y - other) > TYPE for other in taken)
            yield amount, y, words(self.left - 6, y - 4, text, anchor="end") if free else None
            taken += [y] if free else []

    def days(self, first: date, last: date) -> Iterator[String]:
        yield words(self.left, 20, day(first))
        if last != first:
            yield words(self.right, 20, day(last), anchor="end")

    def centred(self, x: float, y: float, text: str, *, low: float = 0.0, bold: bool = True) -> String:
        """Words about `x`, moved in where they would run out of the chart."""
        half = width_of(text, bold=bold) / 2
        return words(min(max(x, low + half), self.width - half), y, text, anchor="middle", bold=bold)


def path(points: Sequence[tuple[float, float]], dash: list[float] | None = None) -> PolyLine:
    flat = [edge for point in points for edge in point]
    return PolyLine(flat, strokeColor=black, strokeWidth=2, strokeLineJoin=1, strokeDashArray=dash)
