"""Owns the drawing of how long a material lasts: its stock day by day, how sure that is, and what is planned, due and advised.

Words stand on the lines; the line without the advised order is broken. Must not work out a figure: see `course`.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import chain, pairwise

from reportlab.graphics.shapes import Circle, Drawing, Polygon, PolyLine, Rect, Shape
from reportlab.lib.colors import Color, black

from inventory import formats, units
from inventory.foresight.advice import Advice
from inventory.foresight.selectors import Outlook
from workshop.documents.charts import ink
from workshop.documents.charts.course import Course, Event, Kind, course
from workshop.documents.charts.placing import Box, Flag, box_of, flags, meets, spot_for
from workshop.documents.kit.wording import number

PHONE, DESK = 300, 560
TALL = {PHONE: 190.0, DESK: 210.0}
ROW = 15.0
TICKS = 5
TINTS = (0.09, 0.13)  # a band in a band: the inner one is darker for both
BELOW = Decimal("0.8")  # no deeper below zero is drawn than so much of the height above it
FURTHER = Decimal("1.1")  # so that what is lacking does not lie on the edge
STEPS = tuple(Decimal(step) for step in ("1", "2", "5", "10"))
DASH = [6.0, 4.0]
Spot = tuple[float, float]


def drawing(outlook: Outlook, advice: Advice, width: float = DESK) -> Drawing:
    """The drawing of a material, `width` points wide: on a phone it is drawn at the phone's width, not made small."""
    return draw(course(outlook, advice), width)


def draw(found: Course, width: float) -> Drawing:
    """Words that find no room beside their line go under the drawing, each behind a piece of its line."""
    first = _Sheet(found, width)
    first.fill()
    if not first.unplaced:
        return first.drawing
    second = _Sheet(found, width, keyed=first.unplaced)
    second.fill()
    return second.drawing


@dataclass
class _Sheet:
    """One drawing in the making. `taken`: where no words may go any more; `unplaced`: which lines' words found no room."""

    found: Course
    width: float
    keyed: list[str] = field(default_factory=list)
    taken: list[Box] = field(default_factory=list)
    unplaced: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        low, high = _range(self.found)
        self.ticks = _ticks(low, high, self.found.unit)
        left = max(ink.width_of(text) for _, text in self.ticks) + 6
        self.left, self.right = left, self.width - 6
        self.flags = flags([(self.x(each.day), (each.words, each.short)) for each in self.found.events], self.width)
        rows = max((flag.row + 1 for flag in self.flags.values()), default=0)
        floor = ROW + 6 + ROW * (bool(self.found.order) + len(self.keyed))
        ceiling = floor + TALL.get(int(self.width), TALL[DESK])
        self.plot = ink.Plot(low, high, left, self.width, floor, ceiling)
        self.drawing = ink.sheet(self.width, ceiling + ROW * rows + 8)

    def x(self, day: float) -> float:
        return self.left + (self.right - self.left) * day / self.found.days

    def fill(self) -> None:
        solid, dashed = self.line(self.found.middle), self.line(self.found.bare, max(0, (self.found.arrives or 0) - 1))
        marks = list(chain.from_iterable(self.event(*each) for each in enumerate(self.found.events)))
        last = [*self.dates(), *self.order(), *self.keys()]
        for shape in (
            *self.bands(),
            *self.grid(),
            *self.course(dashed, ink.RUST, 1.8, DASH),
            *self.course(solid, black, 2.2),
        ):
            self.drawing.add(shape)
        self.taken += [*_boxes(solid), *_boxes(dashed)]
        for shape in (*marks, *self.lacking(), *self.named(solid, dashed), *last):
            self.drawing.add(shape)

    def line(self, amounts: Sequence[Decimal], begin: int = 0) -> list[Spot]:
        """Steps: what is there stays until it changes. Where the line leaves the drawing at the bottom, it ends."""
        spots: list[Spot] = []
        for day, amount in enumerate(amounts[begin:], begin):
            y = self.plot.y(max(amount, self.plot.low))
            if spots and y != spots[-1][1]:
                spots.append((self.x(day), spots[-1][1]))
            if not spots or y != spots[-1][1]:
                spots.append((self.x(day), y))
            if amount < self.plot.low:
                return spots
        return [*spots, (self.right, spots[-1][1])] if spots else []

    def course(
        self, spots: list[Spot], colour: Color, thick: float, dash: list[float] | None = None
    ) -> Iterator[Shape]:
        if len(spots) > 1:
            flat = list(chain.from_iterable(spots))
            yield PolyLine(flat, strokeColor=colour, strokeWidth=thick, strokeLineJoin=1, strokeDashArray=dash)

    def bands(self) -> Iterator[Shape]:
        for (low, high), tint in zip(((0, -1), (1, -2)), TINTS, strict=True):
            edges = [[max(band[share], self.plot.low) for band in self.found.bands] for share in (high, low)]
            if edges[0] != edges[1]:
                above, below = (
                    [(self.x(day), self.plot.y(amount)) for day, amount in enumerate(edge)] for edge in edges
                )
                outline = [*_stairs(above), *reversed(_stairs(below))]
                flat = list(chain.from_iterable(outline))
                yield Polygon(flat, fillColor=black, fillOpacity=tint, strokeColor=None)

    def grid(self) -> Iterator[Shape]:
        for amount, text in self.ticks:
            y = self.plot.y(amount)
            yield ink.line(self.left, y, self.right, y, thick=1.0 if amount == 0 else 0.3)
            yield ink.words(self.left - 6, y - 4, text, anchor="end")
        if self.plot.low < 0:
            yield ink.line(self.left, self.plot.floor, self.right, self.plot.floor, thick=0.3)

    def rules(self) -> Iterator[Box]:
        for amount, _ in self.ticks:
            y = self.plot.y(amount)
            yield self.left, y - 0.5, self.right, y + 0.5

    def dates(self) -> Iterator[Shape]:
        """The first day, the last, and the first of each month where there is room."""
        days = [0, self.found.days, *(day for day in range(1, self.found.days) if self.found.when(day).day == 1)]
        base, placed = 4.0 + ROW * len(self.keyed), list[Box]()
        for day in days:
            text, x = _short(self.found.when(day)), self.x(day)
            wide = ink.width_of(text)
            left = min(max(self.left, x - wide / 2), self.width - wide)
            box = (left - ROW, 0.0, left + wide + ROW, 1.0)
            if not any(meets(box, other) for other in placed):
                placed.append((left, 0.0, left + wide, 1.0))
                yield ink.line(x, self.plot.floor, x, self.plot.floor - 4, thick=0.6)
                yield ink.words(left, base, text)

    def order(self) -> Iterator[Shape]:
        if self.found.order is None:
            return
        day, text = self.found.order
        x, y = self.x(day), self.plot.floor
        wide = ink.width_of(text, bold=True)
        left = x + 8 if x + 8 + wide <= self.width else x - 8 - wide
        yield Polygon([x - 5.5, y - 12, x + 5.5, y - 12, x, y - 1], fillColor=ink.BARK, strokeColor=None)
        yield ink.words(left, y - 13, text, bold=True, colour=ink.BARK)

    def event(self, place: int, event: Event) -> Iterator[Shape]:
        """A line down from its words to the day; goods stand on the line as a square, full where they are ordered."""
        x, flag = self.x(event.day), self.flags.get(place)
        foot, top = self.plot.floor, self.foot_of(flag)
        colour = ink.MOSS if event.kind in (Kind.DUE, Kind.ADVISED) else black
        if event.kind in (Kind.DUE, Kind.ADVISED):
            foot = self.plot.y(max(self.found.middle[event.day], self.plot.low))
            fill = colour if event.kind == Kind.DUE else None
            yield Rect(x - 4, foot - 4, 8, 8, fillColor=fill, strokeColor=colour, strokeWidth=1.6)
            foot += 4
        yield ink.line(x, foot, x, top, thick=0.9, dash=[1.5, 2.5])
        self.taken.append((x - 3, foot, x + 3, top))
        if flag:
            yield ink.words(flag.left, top + 3, flag.text, bold=True, colour=colour)

    def foot_of(self, flag: Flag | None) -> float:
        return self.plot.ceiling if flag is None else self.drawing.height - ROW * (flag.row + 1)

    def lacking(self) -> Iterator[Shape]:
        """A ring where something is lacking first, and nothing is ordered."""
        if (spot := self.first_lack()) is not None:
            yield Circle(*spot, 4.5, fillColor=None, strokeColor=ink.RUST, strokeWidth=2)
            self.taken.append((spot[0] - 5, spot[1] - 5, spot[0] + 5, spot[1] + 5))

    def first_lack(self) -> Spot | None:
        amounts = self.found.bare or self.found.middle
        day = next((day for day, amount in enumerate(amounts) if amount < 0), None)
        return None if day is None else (self.x(day), self.plot.y(max(amounts[day], self.plot.low)))

    def named(self, solid: list[Spot], dashed: list[Spot]) -> Iterator[Shape]:
        lack = self.first_lack()
        near = [(lack[0] + 9, lack[1] + dy) for dy in (6.0, -4.0, -14.0)] if lack and self.found.bare else []
        for text, spots, line, colour in (
            (self.found.dashed, near, dashed, ink.RUST),
            (self.found.solid, [], solid, black),
        ):
            if not text or text in self.keyed:
                continue
            within = (self.left + 3, self.plot.floor + 1, self.right, self.plot.ceiling)
            tried = [*spots, *_beside(line, text, self.right)]
            # Where there is a choice, not on a line of the grid either.
            spot = spot_for(text, tried, within, [*self.taken, *self.rules()]) or spot_for(
                text, tried, within, self.taken
            )
            if spot is None:
                self.unplaced.append(text)
                continue
            self.taken.append(box_of(text, *spot))
            yield ink.words(*spot, text, bold=True, colour=colour)

    def keys(self) -> Iterator[Shape]:
        for row, text in enumerate(self.keyed):
            y, bad = 4.0 + ROW * row, text == self.found.dashed
            dash, colour = (DASH, ink.RUST) if bad else (None, black)
            yield from self.course([(0.0, y + 4), (22.0, y + 4)], colour, 2, dash)
            yield ink.words(28, y, text, bold=True, colour=colour)


def _stairs(spots: Sequence[Spot]) -> list[Spot]:
    """The corners of steps; days on which nothing changes need none."""
    found = [spots[0]]
    for (_, y), (x, there) in pairwise(spots):
        if there != y:
            found += [(x, y), (x, there)]
    return [*found, (spots[-1][0], found[-1][1])]


def _boxes(spots: Sequence[Spot]) -> list[Box]:
    """The room that each tread and riser of a line takes."""
    return [(min(a, c) - 2, min(b, d) - 2, max(a, c) + 2, max(b, d) + 2) for (a, b), (c, d) in pairwise(spots)]


def _beside(line: Sequence[Spot], text: str, right: float) -> Iterator[Spot]:
    """Spots along a line for its words, over it and under it, from its end back."""
    wide = ink.width_of(text, bold=True)
    treads = [(a, c, b) for (a, b), (c, d) in pairwise(line) if b == d]
    for over in (7.0, -14.0, 14.0, -21.0, 25.0, -32.0, 40.0):
        for begin, end, y in reversed(treads):
            for left in (min(end, right) - wide, begin + 8):
                yield left, y + over


def _range(found: Course) -> tuple[Decimal, Decimal]:
    amounts = [*found.bare, *(amount for band in found.bands for amount in (band[0], band[-1]))]
    high = max(amounts) if max(amounts) > 0 else Decimal(1)
    low = max(min([Decimal(0), *amounts]), -high * BELOW)
    return low * FURTHER, high


def _ticks(low: Decimal, high: Decimal, unit: str) -> list[tuple[Decimal, str]]:
    """Round figures of the unit, in base units, and their words; only the highest says the unit."""
    each = units.ratio(unit)
    rough = Fraction(high - low) / each / TICKS
    ten = Decimal(1).scaleb(Decimal(float(rough)).adjusted())
    step = next(ten * step for step in STEPS if Fraction(ten * step) >= rough)
    step = max(step, Decimal(1)) if unit == "piece" else step
    first, last = -(-Fraction(low) / each // Fraction(step)), Fraction(high) / each // Fraction(step)
    shown = [step * number for number in range(int(first), int(last) + 1)]
    words = {value: number(value.normalize() + 0) for value in shown}
    words[shown[-1]] += f" {units.label(unit)}"
    return [(Decimal(0) + value * each.numerator / each.denominator, words[value]) for value in shown]


def _short(on: date) -> str:
    return formats.day(on, year=False)
