"""Owns the drawing of a skin that dries: its weighings, the curve through them, and the band of days to soften in.

Black ink and words, as all charts. Must not fit a curve or judge a day: what it draws is handed in.
Coordinates are floats; the weights they come from stay Decimal and are written exactly.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

from reportlab.graphics.shapes import Circle, Drawing, Line, PolyLine, String
from reportlab.lib.colors import black

from workshop.papers import ink
from workshop.papers.wording import WEEKDAYS, day, number, places

_DAY = 86400.0


_KILO = Decimal(1000)


_HATCH = 7.0


_ROOM = 6.0


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
    today: date | None = None,
    width: float = ink.PHONE,
    height: float = 250,
) -> Drawing:
    """Weight over days, in grams: a dot for each weighing, the curve whole as far as it was weighed and broken beyond."""
    plot = _Plot(weighed, curve, band, width, height)
    drawing = ink.sheet(width, height)
    for shape in (*plot.band(), *plot.axes(), *plot.course(), *plot.dots(), *plot.named(today)):
        drawing.add(shape)
    return drawing


class _Plot:
    """Where moments and weights fall: a row of words above the plot, days below it."""

    def __init__(
        self, weighed: Sequence[Point], curve: Sequence[Point], band: Band, width: float, height: float
    ) -> None:
        self.weighed, self.curve, self.marked, self.width = weighed, curve, band, width
        grams = [weight for _, weight in (*weighed, *curve)]
        self.high, self.low = max(grams), min(grams)
        self.unit, self.size = ("kg", _KILO) if self.high >= _KILO else ("g", Decimal(1))
        named = {weighed[0][1], weighed[-1][1], band.begins_g, band.ends_g}
        digits = places([weight / self.size for weight in named])
        # What is to be weighed for stands before what was weighed: where two would overlap, the later one gives way.
        order = [band.begins_g, band.ends_g, weighed[0][1], weighed[-1][1]]
        self.ticks = [(weight, f"{number(weight / self.size, digits)} {self.unit}") for weight in dict.fromkeys(order)]
        self.left = max(ink.width_of(text) for _, text in self.ticks) + _ROOM
        self.right = width - _ROOM
        self.floor, self.ceiling = 38.0, height - 24
        self.first = _seconds(weighed[0][0])
        self.span = max(_seconds(curve[-1][0]), _seconds(weighed[-1][0])) - self.first or 1.0

    def x(self, at: datetime) -> float:
        share = (_seconds(at) - self.first) / self.span
        return self.left + (self.right - self.left) * min(max(share, 0.0), 1.0)

    def y(self, grams: Decimal) -> float:
        return self.floor + (self.ceiling - self.floor) * float((grams - self.low) / (self.high - self.low))

    def band(self) -> Iterator[Line]:
        """Hatched, so that it is no matter of a shade; its edges reach down to the days."""
        left, right = self.x(self.marked.begins), self.x(self.marked.ends)
        x = left - (self.ceiling - self.floor)
        while x < right:
            yield from self._hatch(x, left, right)
            x += _HATCH
        for edge in (left, right):
            yield ink.line(edge, self.floor - 4, edge, self.ceiling + 4, thick=1.2)

    def _hatch(self, foot: float, left: float, right: float) -> Iterator[Line]:
        """One slanting line that starts at `foot` on the floor, as much of it as lies in the band."""
        low, high = max(foot, left), min(foot + self.ceiling - self.floor, right)
        if low < high:
            yield ink.line(low, self.floor + low - foot, high, self.floor + high - foot, thick=0.35)

    def axes(self) -> Iterator[Line | String]:
        taken: list[float] = []
        for grams, text in self.ticks:
            y = self.y(grams)
            if any(abs(y - other) <= ink.TYPE for other in taken):
                continue
            yield ink.line(self.left - 3, y, self.left, y, thick=0.8)
            yield ink.words(self.left - _ROOM, y - 4, text, anchor="end")
            taken.append(y)
        yield ink.line(self.left, self.floor, self.right, self.floor, thick=0.9)
        for midnight in self._midnights():
            yield ink.line(self.x(midnight), self.floor, self.x(midnight), self.floor - 3, thick=0.5)
        yield ink.words(self.left, 20, day(self.weighed[0][0].date()))
        yield ink.words(self.right, 20, day(self._last().date()), anchor="end")

    def course(self) -> Iterator[PolyLine | Line]:
        known = self.weighed[-1][0]
        told = [point for point in self.curve if point[0] <= known]
        ahead = [point for point in self.curve if point[0] > known]
        if len(told) > 1:
            yield self._path(told)
        if told and ahead:
            yield self._path([told[-1], *ahead], dash=[5, 4])

    def dots(self) -> Iterator[Circle]:
        for at, grams in self.weighed:
            yield Circle(self.x(at), self.y(grams), 3.4, fillColor=black, strokeColor=None)

    def named(self, today: date | None) -> Iterator[String | Line]:
        begins, ends = self.marked.begins, self.marked.ends
        text = f"soften {_short(begins)} to {_short(ends)}"
        half = ink.width_of(text, bold=True) / 2
        middle = (self.x(begins) + self.x(ends)) / 2
        yield ink.words(min(max(middle, half), self.width - half), self.ceiling + 9, text, anchor="middle", bold=True)
        noon = None if today is None else datetime.combine(today, time(12), tzinfo=begins.tzinfo)
        if noon and self.first <= _seconds(noon) <= self.first + self.span:
            x = self.x(noon)
            yield ink.line(x, self.floor - 14, x, self.ceiling, dash=[1.5, 2])
            half = ink.width_of("today") / 2
            yield ink.words(min(max(x, self.left + half), self.right - half), 6, "today", anchor="middle")

    def _path(self, points: Sequence[Point], dash: list[float] | None = None) -> PolyLine:
        path = [edge for at, grams in points for edge in (self.x(at), self.y(grams))]
        return PolyLine(path, strokeWidth=2, strokeLineJoin=1, strokeDashArray=dash, strokeColor=black)

    def _last(self) -> datetime:
        return max(self.curve[-1][0], self.weighed[-1][0])

    def _midnights(self) -> Iterator[datetime]:
        first, last = self.weighed[0][0], self._last()
        apart = max(1, (last - first).days // 30)
        on = first.date() + timedelta(days=1)
        while on <= last.date():
            yield datetime.combine(on, time(), tzinfo=first.tzinfo)
            on += timedelta(days=apart)


def _short(at: datetime) -> str:
    return f"{WEEKDAYS[at.weekday()]} {day(at.date()).rsplit(' ', 1)[0]}"


def _seconds(at: datetime) -> float:
    """Of one clock that never changes; a moment without a zone is the shed's own."""
    return (at if at.tzinfo else at.replace(tzinfo=UTC)).timestamp()
