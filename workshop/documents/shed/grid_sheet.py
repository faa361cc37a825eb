"""Owns the grid sheet: squares in true size to lay on a hide, and the form on which they are counted. For who has no phone.

Must not work out an area: the rule is in `squares`, the hand fills in the rest.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Any

from reportlab.lib.units import mm

from inventory import formats, units
from inventory.base.labels.lengths import MM, Ruler
from inventory.money import half_up
from workshop.documents.kit import flow, page
from workshop.documents.kit.page import A4, Box, Paper
from workshop.documents.kit.table import Column, Table
from workshop.documents.shed import squares
from workshop.documents.shed.squares import Frame
from workshop.documents.words.rules import Words

CUTS = (10, 20, 30, 40, 50, 60)
HEAVY, LIGHT = 1.6, 0.2
_BAR = 12 * mm
_WIDE = 182 * mm  # between the margins of A4
_CAPTION = 50 * mm  # of words under a narrow picture
_PICTURE = 80 * mm, 98 * mm  # as large as it may be


@dataclass(frozen=True)
class Printed:
    """What is printed in true size by a ruler: `side` of a square, so many `across` and down, `parts` of a side, and the `bar`,
    in mm."""

    side: Decimal
    across: int
    parts: int
    bar: Decimal
    bar_parts: int


# Four square decimetres fit on A4 and on letter, and one quarter of a square foot.
SHEETS = {
    "mm": Printed(Decimal(100), across=2, parts=10, bar=Decimal(100), bar_parts=10),
    "inch": Printed(Decimal("152.4"), across=1, parts=6, bar=Decimal("101.6"), bar_parts=4),
}


@dataclass(frozen=True)
class GridSheet:
    """`area` is the unit that areas are told in."""

    workshop: str
    printed_on: date
    frame: Frame = squares.USUAL["mm"]
    ruler: Ruler = MM
    area: str = "dm2"
    words: Words = Words()

    @property
    def printed(self) -> Printed:
        return SHEETS[self.ruler.unit]

    def told(self, cm2: Decimal, places: int = 3) -> str:
        """An area in the unit of the sheet, rounded for people."""
        return f"{self.plain(cm2, places)} {units.label(self.area)}"

    def plain(self, cm2: Decimal, places: int) -> str:
        return formats.plain(half_up(Fraction(cm2) / Fraction(units.factor(self.area)), places))


@dataclass(frozen=True)
class _Line:
    """A line of the form: its sign, what is written there."""

    sign: str
    said: str


def render(sheet: GridSheet, size: Paper = A4) -> bytes:
    """The sheet as PDF: the squares, then the form."""
    words = sheet.words
    title = words("grid.title")
    foot = f"{sheet.workshop} · {title} · {words('stocktake.printed_on', day=words.day(sheet.printed_on))}"
    story = [*_squares(sheet), flow.new_page(), *_form(sheet)]
    return flow.document(story, size, title=title, author=sheet.workshop, foot=foot, day=sheet.printed_on, words=words)


def _squares(sheet: GridSheet) -> flow.Story:
    words, printed, ruler = sheet.words, sheet.printed, sheet.ruler
    bar, side = ruler.told(printed.bar), printed.side
    said = {
        "side": ruler.told(side),
        "square": sheet.told(half_up(Fraction(side) ** 2 / 100, 3)),
        "small": ruler.told(side / printed.parts),
    }
    high = float(side) * printed.across * mm
    return [
        flow.words(words("grid.heading"), size=14, bold=True, level=1),
        flow.words(words("grid.print", bar=bar), bold=True, before=1 * mm),
        flow.words(words("grid.lay", **said), before=1 * mm),
        flow.Drawn(_BAR, lambda on, box: _draw_bar(on, box, printed, bar)),
        flow.Drawn(high, lambda on, box: _draw_squares(on, box, printed), before=1 * mm, alt="grid.squares"),
    ]


def _draw_bar(on: Any, box: Box, printed: Printed, said: str) -> None:
    """A line to be measured, with a tick each part; what it must measure beside it."""
    long, low = float(printed.bar) * mm, box.y + 4 * mm
    on.setLineWidth(LIGHT)
    on.line(box.x, low, box.x + long, low)
    for at in range(printed.bar_parts + 1):
        x = box.x + long * at / printed.bar_parts
        on.line(x, low - 1 * mm, x, low + (3 if at in (0, printed.bar_parts) else 1) * mm)
    beside = Box(box.x + long + 3 * mm, low - 2 * mm, box.width - long - 3 * mm, 5 * mm)
    page.text(on, beside, said, size=11, smallest=8, bold=True, one_line=True)


def _draw_squares(on: Any, box: Box, printed: Printed) -> None:
    """In the middle of the page, over its margins where they are as wide as that. Squares are drawn whole, light lines between."""
    on.setViewerPreference("PrintScaling", "None")  # else a viewer shrinks the page to the printer's margins
    side = float(printed.side) * mm
    whole, part = side * printed.across, side / printed.parts
    left = box.x + (box.width - whole) / 2
    on.setLineWidth(LIGHT)
    for at in range(printed.across * printed.parts + 1):
        if at % printed.parts:
            on.line(left + at * part, box.y, left + at * part, box.y + whole)
            on.line(left, box.y + at * part, left + whole, box.y + at * part)
    on.setLineWidth(HEAVY)
    for across in range(printed.across):
        for up in range(printed.across):
            on.rect(left + across * side, box.y + up * side, side, side)


def _form(sheet: GridSheet) -> flow.Story:
    words, frame, ruler = sheet.words, sheet.frame, sheet.ruler
    square = sheet.told(frame.square)
    told = words("grid.frame", size=ruler.told(frame.width, frame.height), every=ruler.told(frame.every), square=square)
    steps = [
        words("grid.cords", every=ruler.told(frame.every)),
        words("grid.sheets") if frame.every == sheet.printed.side else "",
        words("grid.count"),
        words("grid.rest") if frame.rest else "",
        words("grid.holes"),
    ]
    said = [f"{at}. {step}" for at, step in enumerate(filter(None, steps), start=1)]
    wide, high = _picture_size(frame)
    beside = max(wide, _CAPTION)
    picture = flow.Drawn(high, lambda on, box: _draw_frame(on, box, frame), alt="grid.picture", before=1 * mm)
    left = [*flow.paragraphs(said, before=1.2 * mm), *_table(sheet)]
    right = [picture, flow.words(words("grid.sketch"), size=flow.SMALL, before=1 * mm)]
    return [
        flow.words(words("grid.form"), size=14, bold=True, level=2),
        flow.words(told, before=1 * mm, after=2 * mm),
        flow.beside([left, right], (_WIDE - beside, beside), gap=6 * mm),
        flow.blanks(words("grid.skin"), words("kit.date"), words("stocktake.counted_by")),
        Table(_columns(words), _lines(sheet, square)),
        *flow.paragraphs([words("grid.less"), words("grid.sure"), words("grid.approximate")], first=2 * mm),
    ]


def _columns(words: Words) -> list[Column[_Line]]:
    return [
        Column("", 8, lambda line: line.sign, bold=True),
        Column(words("grid.what"), 112, lambda line: line.said),
        Column(words("grid.figure"), 62, write=True),
    ]


def _lines(sheet: GridSheet, square: str) -> list[_Line]:
    words, unit = sheet.words, units.label(sheet.area)
    said = [
        words("grid.whole"),
        words("grid.cut"),
        words("grid.half"),
        words("grid.together"),
        words("grid.area", square=square, unit=unit),
        words("grid.off", unit=unit),
    ]
    return [_Line(sign, text) for sign, text in zip("ABCDEF", said, strict=True)]


def _table(sheet: GridSheet) -> flow.Story:
    """What a count may be off by, in squares and in area."""
    places = 1 if sheet.area == "dm2" else 2
    columns: list[Column[int]] = [
        Column(sheet.words("grid.cut_squares"), 30, str, figure=True),
        Column(sheet.words("grid.off_squares"), 28, lambda cut: formats.plain(_off(cut, 1)), figure=True),
        Column(
            f"± {units.label(sheet.area)}",
            24,
            lambda cut: sheet.plain(squares.counted(0, cut).area(sheet.frame)[1], places),
            figure=True,
        ),
    ]
    return [Table(columns, CUTS)]


def _off(cut: int, places: int) -> Decimal:
    return half_up(squares.counted(0, cut).off, places)


def _picture_size(frame: Frame) -> tuple[float, float]:
    scale = min(_PICTURE[0] / float(frame.width), _PICTURE[1] / float(frame.height))
    return float(frame.width) * scale, float(frame.height) * scale


def _draw_frame(on: Any, box: Box, frame: Frame) -> None:
    """The inside of the frame to scale, its cords from the lower left corner."""
    wide, high = _picture_size(frame)
    step = wide * float(frame.every / frame.width)
    on.setLineWidth(LIGHT)
    for at in range(1, _inner(frame.width, frame.every)):
        on.line(box.x + at * step, box.y, box.x + at * step, box.y + high)
    for at in range(1, _inner(frame.height, frame.every)):
        on.line(box.x, box.y + at * step, box.x + wide, box.y + at * step)
    on.setLineWidth(HEAVY)
    on.rect(box.x, box.y, wide, high)


def _inner(side: Decimal, every: Decimal) -> int:
    """One more than the cords between two ends."""
    return ceil(side / every)
