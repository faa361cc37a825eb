"""Owns the drawing of a sheet of labels: the paper with every label on it, and what was measured where it was measured.

It shows the sheet without the printer's offset. Must not judge the figures: what is drawn fits on its paper.
"""

from collections.abc import Iterator

from reportlab.graphics.shapes import Drawing, Line, Rect, String
from reportlab.lib.colors import black

from inventory.base.labels.lengths import MM, Ruler
from inventory.base.labels.rules import ROLL, Sheet
from workshop.documents.charts import ink
from workshop.documents.charts.ink import BARK

_ROW = 17.0  # of words above the paper
_BESIDE = 22.0  # from words beside the paper to it, with the thin line between
_EDGE = 4.0
_TALLEST = 330.0
_NARROW = 1.0
_INSIDE = 3.5  # a label's number needs so much beside it


def draw(sheet: Sheet, ruler: Ruler = MM, width: float = ink.PHONE) -> Drawing:
    """Widths are written above the paper, heights beside it, each with a thin line to what it measures."""
    wide, tall = map(float, sheet.size)
    above, beside = list(_above(sheet, ruler)), list(_beside(sheet, ruler))
    floor, left = _EDGE, max(ink.width_of(text) for _, text in beside) + _BESIDE
    scale = min((width - left - _EDGE) / wide, _TALLEST / tall)
    top = floor + tall * scale
    drawing = ink.sheet(width, top + len(above) * _ROW + _EDGE + 4)
    drawing.add(Rect(left, floor, wide * scale, tall * scale, strokeColor=black, strokeWidth=1.5, fillColor=None))
    for at, (x, y) in enumerate(_corners(sheet), start=1):
        across, up = left + x * scale, top - y * scale
        high, far = float(sheet.height) * scale, float(sheet.width) * scale
        drawing.add(Rect(across, up - high, far, high, strokeColor=black, strokeWidth=_NARROW, fillColor=None))
        if at in (1, sheet.count) and high > ink.TYPE + _INSIDE and far > ink.width_of(str(at)) + _INSIDE:
            drawing.add(ink.words(across + far / 2, up - high / 2 - 4, str(at), anchor="middle"))
    for row, (x, text) in enumerate(above):
        for shape in _pointed_down(left + x * scale, top, (len(above) - row) * _ROW, text, width):
            drawing.add(shape)
    least = drawing.height
    for y, text in beside:
        place = top - y * scale
        least = min(place, least - _ROW)
        for shape in _pointed_right(left, place, least, text):
            drawing.add(shape)
    return drawing


def told(sheet: Sheet, ruler: Ruler = MM) -> str:
    """The drawing in words."""
    across = ", ".join(text for _, text in _above(sheet, ruler))
    down = ", ".join(text for _, text in _beside(sheet, ruler))
    return f"{sheet.columns} × {sheet.rows} labels. Across: {across}. Down: {down}."


def _corners(sheet: Sheet) -> Iterator[tuple[float, float]]:
    """Where the labels are cut, which the offset does not move."""
    for x, y in sheet.places():
        yield float(x - sheet.offset_x), float(y - sheet.offset_y)


def _above(sheet: Sheet, ruler: Ruler) -> Iterator[tuple[float, str]]:
    """Widths from left to right, as (where in mm, in words)."""
    left, width, gap = float(sheet.left), float(sheet.width), float(sheet.gap_x)
    if sheet.paper != ROLL:
        yield left / 2, f"edge {ruler.told(sheet.left)}"
    yield left + width / 2, f"width {ruler.told(sheet.width)}"
    if sheet.columns > 1:
        yield left + width + gap / 2, f"gap {ruler.told(sheet.gap_x)}"


def _beside(sheet: Sheet, ruler: Ruler) -> Iterator[tuple[float, str]]:
    """Heights from the top down, as (where in mm, in words)."""
    top, height, gap = float(sheet.top), float(sheet.height), float(sheet.gap_y)
    if sheet.paper != ROLL:
        yield top / 2, f"edge {ruler.told(sheet.top)}"
    yield top + height / 2, f"height {ruler.told(sheet.height)}"
    if sheet.rows > 1:
        yield top + height + gap / 2, f"gap {ruler.told(sheet.gap_y)}"


def _pointed_down(x: float, top: float, above: float, text: str, width: float) -> Iterator[Line | String]:
    """Words to the right of a line that ends just inside the paper; to its left where they would run out of the drawing."""
    yield _thin(x, top - 3, x, top + above)
    right = x + 4 + ink.width_of(text) <= width
    yield ink.words(x + 4 if right else x - 4, top + above - 9, text, anchor="start" if right else "end")


def _pointed_right(left: float, place: float, at: float, text: str) -> Iterator[Line | String]:
    yield _thin(left - _BESIDE + 5, at, left + 3, place)
    yield ink.words(left - _BESIDE + 1, at - 4, text, anchor="end")


def _thin(x1: float, y1: float, x2: float, y2: float) -> Line:
    return Line(x1, y1, x2, y2, strokeColor=BARK, strokeWidth=1)
