"""Owns the charts, as drawings that serve a page (as SVG) and a paper (as vectors) alike.

Black ink, words beside every mark, no meaning in a colour. Must not fetch or add up figures beyond what it shows.
Coordinates are floats; the figures they come from stay Decimal and are written exactly.
"""

from collections.abc import Sequence
from decimal import Decimal

from reportlab.graphics.shapes import Drawing, Rect
from reportlab.lib.colors import black

from inventory import formats
from workshop.documents.charts import ink
from workshop.documents.kit.text import fit
from workshop.documents.kit.wording import number, places, written
from workshop.documents.type.runs import NoType

_ROW = 20.0
_TALL_ROW = 36.0
_GAP = 8.0
_LABEL_SHARE = 0.36
Bar = tuple[str, Decimal]


def usage_by_month(
    rows: Sequence[Bar], *, unit: str, width: float = ink.PHONE, height: float = 190, money: bool = False
) -> Drawing:
    """Bars of what was used, a month each, oldest first; lying bars where the figures do not fit side by side. `money` as below."""
    if not rows:
        return _nothing("Nothing used yet", width)
    shown = [text if value else "0" for (_, value), text in zip(rows, _figures([v for _, v in rows]), strict=True)]
    slot = width / len(rows)
    widest = max(ink.width_of(text) for pair in zip(shown, (label for label, _ in rows), strict=True) for text in pair)
    if widest + 3 > slot:
        return bars(rows, unit=unit, width=width, money=money)
    return _standing(rows, shown, unit, width, height)


def bars(
    rows: Sequence[Bar],
    *,
    unit: str = "",
    width: float = ink.PHONE,
    total: str = "",
    money: bool = False,
    mark: Bar | None = None,
) -> Drawing:
    """Lying bars in the order given, each with its words and its figure; `total` names a last, hollow bar of the sum.

    `money` keeps the cents as they are written, in the currency `unit`; a quantity drops the zeros that nobody needs. `mark`: a
    figure to hold the bars against, as a dashed line named above them.
    """
    if not rows:
        return _nothing("Nothing to show", width)
    everything = [*rows, (total, sum((value for _, value in rows), Decimal(0)))] if total else list(rows)
    figures = _figures([value for _, value in everything], unit, money=money)
    labels = max(ink.width_of(label) for label, _ in everything)
    tall = labels > width * _LABEL_SHARE
    row = _TALL_ROW if tall else _ROW
    drawing = ink.sheet(width, row * len(everything) + (_ROW if mark else 0))
    left = 0.0 if tall else labels + _GAP
    right = width - (0.0 if tall else max(ink.width_of(text) for text in figures) + _GAP)
    zero, scale = _scale([*(value for _, value in everything), *([mark[1]] if mark else [])], left, right)
    top = drawing.height - (_ROW if mark else 0)
    for index, ((label, value), figure) in enumerate(zip(everything, figures, strict=True)):
        y = top - (index + 1) * row
        hollow = bool(total) and index == len(rows)
        room = width - ink.width_of(figure) - _GAP if tall else left
        drawing.add(ink.words(0, y + (21 if tall else 5), _clipped(label, room), bold=hollow))
        drawing.add(ink.words(width, y + (21 if tall else 5), figure, anchor="end", bold=hollow))
        drawing.add(_bar(zero, y + 4, scale * float(value), 11, hollow=hollow))
        if mark:
            # Beside the bars only, so that it crosses no words.
            x = zero + scale * float(mark[1])
            drawing.add(ink.line(x, y + 2, x, y + 17, thick=1.4, dash=[3, 2]))
    if mark:
        named = f"{mark[0]} {_figures([mark[1]], unit, money=money)[0]}"
        at, wide = zero + scale * float(mark[1]), ink.width_of(named)
        drawing.add(ink.words(min(max(at - wide / 2, 0), width - wide), drawing.height - 13, named))
    drawing.add(ink.line(zero, 0, zero, top, thick=0.8) if not tall else ink.line(zero, 2, zero, 17, thick=0.8))
    return drawing


def cost_parts(parts: Sequence[Bar], *, unit: str, width: float = ink.PHONE) -> Drawing:
    """What a cost is made of: a bar for each part and a hollow one for their sum. `unit` is the currency."""
    return bars(parts, unit=unit, width=width, total="Total", money=True)


def bridge(start: Bar, steps: Sequence[Bar], end: Bar, *, unit: str, width: float = ink.PHONE) -> Drawing:
    """How one sum comes to another: a bar for each of them, and between them a hollow bar for each step, where it leads."""
    rows = [start, *steps, end]
    figures = [
        f"+{text}" if 0 < at < len(rows) - 1 and rows[at][1] > 0 else text
        for at, text in enumerate(_figures([value for _, value in rows], unit, money=True))
    ]
    drawing = ink.sheet(width, _TALL_ROW * len(rows))
    edges = _edges(start[1], [value for _, value in steps], end[1])
    zero, scale = _scale([edge for pair in edges for edge in pair], 1.0, width - 1.0)
    for index, ((label, _), figure, (begin, stop)) in enumerate(zip(rows, figures, edges, strict=True)):
        y = drawing.height - (index + 1) * _TALL_ROW
        whole = index in (0, len(rows) - 1)
        drawing.add(ink.words(0, y + 21, _clipped(label, width - ink.width_of(figure, bold=whole) - _GAP), bold=whole))
        drawing.add(ink.words(width, y + 21, figure, anchor="end", bold=whole))
        drawing.add(_bar(zero + scale * float(begin), y + 4, scale * float(stop - begin), 11, hollow=not whole))
        if whole:
            drawing.add(ink.line(zero, y + 2, zero, y + 17, thick=0.8))
        if index < len(rows) - 1:
            # In two pieces, so that it does not cross the words of the next row.
            x = zero + scale * float(stop)
            drawing.add(ink.line(x, y + 4, x, y - 2, thick=0.8))
            drawing.add(ink.line(x, y - 19, x, y - 21, thick=0.8))
    return drawing


def _edges(start: Decimal, steps: Sequence[Decimal], end: Decimal) -> list[tuple[Decimal, Decimal]]:
    """Where each bar begins and ends: the sums from zero, every step from where the one before led."""
    found, here = [(Decimal(0), start)], start
    for step in steps:
        found.append((here, here + step))
        here += step
    return [*found, (Decimal(0), end)]


def _standing(rows: Sequence[Bar], shown: list[str], unit: str, width: float, height: float) -> Drawing:
    drawing = ink.sheet(width, height)
    drawing.add(ink.words(0, height - ink.TYPE, unit))
    slot = width / len(rows)
    values = [value for _, value in rows]
    floor = 18.0 + (14.0 if min(values) < 0 else 0.0)
    zero, scale = _scale(values, floor, height - 2 * ink.TYPE - 10)
    for index, ((label, value), figure) in enumerate(zip(rows, shown, strict=True)):
        x, tall = (index + 0.5) * slot, scale * float(value)
        drawing.add(_bar(x - slot * 0.32, zero, slot * 0.64, tall))
        drawing.add(ink.words(x, zero + (tall + 4 if value >= 0 else tall - 12), figure, anchor="middle"))
        drawing.add(ink.words(x, 3, label, anchor="middle"))
    drawing.add(ink.line(0, zero, width, zero, thick=0.8))
    return drawing


def _scale(values: Sequence[Decimal], low: float, high: float) -> tuple[float, float]:
    """Where zero lies between `low` and `high`, and how many points one unit takes."""
    least, most = min([*values, Decimal(0)]), max([*values, Decimal(0)])
    scale = (high - low) / (float(most - least) or 1.0)
    return low - scale * float(least), scale


def _figures(values: Sequence[Decimal], unit: str = "", *, money: bool = False) -> list[str]:
    """Figures of one chart, with as many places each. `unit` behind them; of money a currency, or one a time: USD/h."""
    if not money:
        return [f"{number(value, places(values))} {unit}".strip() for value in values]
    digits, (currency, stroke, time) = written(values), unit.partition("/")
    if not currency:
        return [number(value, digits) for value in values]
    sums = [value.quantize(Decimal(1).scaleb(-digits)) for value in values]
    return [f"{formats.current().money(value, currency)}{stroke}{time}" for value in sums]


def _nothing(words: str, width: float) -> Drawing:
    drawing = ink.sheet(width, 30)
    drawing.add(ink.words(0, 10, words))
    return drawing


def _clipped(text: str, room: float) -> str:
    try:
        block = fit(
            text, width=room / ink.SPREAD, height=ink.TYPE * 1.3, size=ink.TYPE, smallest=ink.TYPE, one_line=True
        )
    except NoType:  # a page shows what the reader's own type has
        return text[: int(room / ink.width_of("M"))]
    return block.lines[0]


def _bar(x: float, y: float, width: float, height: float, *, hollow: bool = False) -> Rect:
    """A bar that may reach left or down from its start; a hollow one keeps its outline inside the same room."""
    x, width = (x + width, -width) if width < 0 else (x, width)
    y, height = (y + height, -height) if height < 0 else (y, height)
    if hollow:
        side = max(width - 1.2, 0)
        return Rect(x + 0.6, y + 0.6, side, height - 1.2, fillColor=None, strokeColor=black, strokeWidth=1.2)
    return Rect(x, y, width, height, fillColor=black, strokeColor=None)
