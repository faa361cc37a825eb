"""Owns the drawing of a skin that dries: its weighings, the curve through them, and the band of days to soften in.

Black ink and words, as all charts. Must not fit a curve or judge a day: what it draws is handed in.
Coordinates are floats; the weights they come from stay Decimal and are written exactly.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction

from reportlab.graphics.shapes import Circle, Drawing, Line, PolyLine, String
from reportlab.lib.colors import black

from inventory import formats
from inventory.money import half_up
from workshop.documents.charts import ink
from workshop.documents.kit.wording import number, places

_KILO = Decimal(1000)
_HATCH = 7.0
_MOST_DIGITS = 3
Point = tuple[datetime, Decimal]


@dataclass(frozen=True)
class Band:
    """The days to soften in and the weights at which they begin and end, in grams."""

    begins: datetime
    ends: datetime
    begins_g: Decimal
    ends_g: Decimal


def drying(
    weighed: Sequence[Point],
    curve: Sequence[Point],
    band: Band,
    *,
    own: tuple[str, Decimal] | None = None,
    today: date | None = None,
    unit: str = "",
    width: float = ink.PHONE,
    height: float = 250,
) -> Drawing:
    """Weight over days, in grams: a dot for each weighing, the curve whole as far as it was weighed and broken beyond.

    `own` is another unit to read the weights in, and how many grams one is.
    """
    curve_end = max(curve[-1][0], weighed[-1][0])
    first = _seconds(weighed[0][0])
    span = _seconds(curve_end) - first or 1.0
    plot, ticks = _plot(weighed, curve, band, own, width, height)

    def x(at: datetime) -> float:
        return plot.left + (plot.right - plot.left) * min(max((_seconds(at) - first) / span, 0.0), 1.0)

    def course(points: Sequence[Point], dash: list[float] | None = None) -> list[PolyLine]:
        return [ink.path([(x(at), plot.y(grams)) for at, grams in points], dash)] if len(points) > 1 else []

    known = [point for point in curve if point[0] <= weighed[-1][0]]
    drawing = ink.sheet(width, height)
    for shape in (
        *_band(plot, x(band.begins), x(band.ends)),
        *_axes(plot, ticks),
        *(ink.line(x(at), plot.floor, x(at), plot.floor - 3, thick=0.5) for at in _midnights(weighed[0][0], curve_end)),
        *plot.days(weighed[0][0].date(), curve_end.date()),
        *course(known),
        *course(curve[len(known) - 1 :] if known else [], dash=[5, 4]),
        *(Circle(x(at), plot.y(grams), 3.4, fillColor=black, strokeColor=None) for at, grams in weighed),
        plot.centred(
            (x(band.begins) + x(band.ends)) / 2,
            plot.ceiling + 9,
            f"soften {_short(band.begins)} to {_short(band.ends)}",
        ),
    ):
        drawing.add(shape)
    noon = None if today is None else datetime.combine(today, time(12), tzinfo=band.begins.tzinfo)
    if noon and first <= _seconds(noon) <= first + span:
        drawing.add(ink.line(x(noon), plot.floor - 14, x(noon), plot.ceiling, dash=[1.5, 2]))
        drawing.add(plot.centred(x(noon), 6, "today", low=plot.left, bold=False))
    return drawing


def _plot(
    weighed: Sequence[Point],
    curve: Sequence[Point],
    band: Band,
    own: tuple[str, Decimal] | None,
    width: float,
    height: float,
) -> tuple[ink.Plot, list[tuple[Decimal, str]]]:
    """The plot with a row of words above it and days below it, and its figures in grams, or kilograms where they are large."""
    grams = [weight for _, weight in (*weighed, *curve)]
    unit, size = own or (("kg", _KILO) if max(grams) >= _KILO else ("g", Decimal(1)))
    # What is to be weighed for goes before what was weighed: where two would overlap, the later one gives way.
    order = list(dict.fromkeys([band.begins_g, band.ends_g, weighed[0][1], weighed[-1][1]]))
    shown = [half_up(Fraction(weight) / Fraction(size), _MOST_DIGITS) for weight in order]
    ticks = [(weight, f"{number(figure, places(shown))} {unit}") for weight, figure in zip(order, shown, strict=True)]
    left = max(ink.width_of(text) for _, text in ticks) + 6
    return ink.Plot(min(grams), max(grams), left, width, 38.0, height - 24), ticks


def _band(plot: ink.Plot, left: float, right: float) -> Iterator[Line]:
    """Hatched, so that it is no matter of a shade; its edges reach down to the days."""
    tall = plot.ceiling - plot.floor
    foot = left - tall
    while foot < right:
        # One slanting line that starts at `foot` on the floor, as much of it as lies in the band.
        low, high = max(foot, left), min(foot + tall, right)
        if low < high:
            yield ink.line(low, plot.floor + low - foot, high, plot.floor + high - foot, thick=0.35)
        foot += _HATCH
    for edge in (left, right):
        yield ink.line(edge, plot.floor - 4, edge, plot.ceiling + 4, thick=1.2)


def _axes(plot: ink.Plot, ticks: Sequence[tuple[Decimal, str]]) -> Iterator[Line | String]:
    for _, y, figure in plot.figures(ticks):
        if figure:
            yield ink.line(plot.left - 3, y, plot.left, y, thick=0.8)
            yield figure
    yield ink.line(plot.left, plot.floor, plot.right, plot.floor, thick=0.9)


def _midnights(first: datetime, last: datetime) -> Iterator[datetime]:
    apart = max(1, (last - first).days // 30)
    on = first.date() + timedelta(days=1)
    while on <= last.date():
        yield datetime.combine(on, time(), tzinfo=first.tzinfo)
        on += timedelta(days=apart)


def _short(at: datetime) -> str:
    return formats.day(at, weekday=True, year=False)


def _seconds(at: datetime) -> float:
    """Of one clock that never changes; a moment without a zone is the shed's own."""
    return (at if at.tzinfo else at.replace(tzinfo=UTC)).timestamp()
