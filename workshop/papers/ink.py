"""Owns the strokes that all charts are drawn with: a sheet, a line, words, and how wide words run.

Black ink in one size of type. Must not know what a chart shows.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.graphics.shapes import Drawing, Line, String
from reportlab.lib.colors import black

from workshop.papers import fonts

TYPE = 11.0


PHONE = 340


# A page sets the chart in the reader's own sans-serif, which may run wider than the type measured here.
SPREAD = 1.12


def sheet(width: float, height: float) -> Drawing:
    fonts.register()
    return Drawing(width, height, initialFontName=fonts.REGULAR, initialFontSize=TYPE)


def width_of(text: str, *, bold: bool = False) -> float:
    fonts.register()
    return fonts.width(text, fonts.BOLD if bold else fonts.REGULAR, TYPE) * SPREAD


def words(x: float, y: float, text: str, *, anchor: str = "start", bold: bool = False) -> String:
    font = fonts.BOLD if bold else fonts.REGULAR
    return String(x, y, text, fontName=font, fontSize=TYPE, fillColor=black, textAnchor=anchor)


def line(
    x1: float, y1: float, x2: float, y2: float, *, thick: float = 1.0, dash: Sequence[float] | None = None
) -> Line:
    return Line(x1, y1, x2, y2, strokeColor=black, strokeWidth=thick, strokeDashArray=dash)
