"""Owns flowing a paper over numbered pages: its type, paragraphs, headings, what is filled in by hand, the foot of a page.

Everything here is a flowable of the drawing library, or makes one. Must not know what a paper says.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from functools import partial
from io import BytesIO
from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, KeepTogether, PageBreak, PageTemplate, Spacer, Table
from reportlab.platypus.doctemplate import LayoutError

from workshop.documents.kit import page, tagged
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.text import LEADING, Block, TextTooLong, tidy, wrap
from workshop.documents.type import fonts
from workshop.documents.words import rules

SIZE, SMALL = 9.0, 7.5
MARGIN = 14 * mm
TICK = 5 * mm
WRITE = 9 * mm  # height of a line for a pencil
_FOOT = 8 * mm
Draw = Callable[[Any, Box], None]
Story = list[Any]
ENGLISH = rules.Words()


class Drawn(Flowable):
    """A drawing as wide as its place and of a set height; `alt` is the key of what it shows, where no words in it do."""

    def __init__(self, height: float, draw: Draw, before: float = 0, alt: str = "") -> None:
        super().__init__()
        self.height, self._draw, self.spaceBefore, self._alt = height, draw, before, alt

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        return width, self.height

    def draw(self) -> None:
        box = Box(0, 0, self.width, self.height)
        if not self._alt:
            self._draw(self.canv, box)
            return
        with self.canv.marked("Figure", alt=self.canv.said(self._alt), box=(box.width, box.height)):
            self._draw(self.canv, box)


class Words(Flowable):
    """A paragraph that wraps as wide as its place and is never cut; it may be parted between its lines."""

    def __init__(self, text: str, font: str, size: float, align: str) -> None:
        super().__init__()
        self.text, self.font, self.size, self.align = tidy(text), font, size, align
        self.width = 0.0
        self.block = Block((), font, size)
        self.role = "P"

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        if width != self.width:  # asked many times for the same place
            self.width = width
            self.block = Block(tuple(wrap(self.text, self.font, self.size, width)), self.font, self.size)
        return width, self.block.height

    def split(self, width: float, height: float) -> list[Words]:
        self.wrap(width, height)
        at = int(height / (self.size * LEADING))
        parts = ("\n".join(lines) for lines in (self.block.lines[:at], self.block.lines[at:]))
        return [Words(text, self.font, self.size, self.align) for text in parts] if at else []

    def draw(self) -> None:
        page.put(self.canv, Box(0, 0, self.width, self.block.height), self.block, align=self.align)

    def drawOn(self, canvas: Any, x: float, y: float, _sW: float = 0) -> None:  # noqa: N802, N803 - the library's own
        with canvas.marked(self.role) if self.text else canvas.hushed():
            super().drawOn(canvas, x, y, _sW)


class _Numbered(tagged.Tagged):
    """Holds its pages back until they are counted, so that each can say how many there are. `said`: in which words."""

    def __init__(self, *args: Any, foot: Callable[[Any, str], None], said: rules.Words, **options: Any) -> None:
        super().__init__(*args, **options)
        self._foot, self.said = foot, said
        self._held: list[dict[str, Any]] = []

    def showPage(self) -> None:  # noqa: N802 - the library's own name
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        for number, held in enumerate(self._held, start=1):
            self.__dict__.update(held)
            with self.hushed():  # the same on every page
                self._foot(self, self.said("kit.page", number=number, count=len(self._held)))
            super().showPage()
        super().save()


def document(story: Story, paper: Paper, **named: Any) -> bytes:
    """A PDF of the story; each page ends with `foot` and "page n of m". Refused, naming `whole`, where no page holds a part."""
    return build(story, paper, **named)[0]


def build(
    story: Story,
    paper: Paper,
    *,
    title: str,
    author: str,
    foot: str,
    day: date | None = None,
    whole: str = "text",
    words: rules.Words = ENGLISH,
) -> tuple[bytes, int]:
    """The document, and how many pages it takes. `day` is the paper's own: an invoice's, the last one of a month."""
    fonts.register()
    place = room(paper)
    buffer = BytesIO()

    def say(on: Any, _template: Any) -> None:
        on.say(title=title, author=author, subject=foot, day=day)

    frame = Frame(place.x, place.y, place.width, place.height, 0, 0, 0, 0)
    template = BaseDocTemplate(
        buffer,
        pagesize=paper.size,
        pageTemplates=[PageTemplate(frames=[frame], onPage=say)],
        lang=words.language,
        initialFontName=fonts.REGULAR,
        invariant=1,
    )
    try:
        template.build(story, canvasmaker=partial(_Numbered, foot=partial(_foot, place, foot), said=words))
    except LayoutError as fault:
        raise TextTooLong(whole, "", place.width / mm, place.height / mm) from fault
    return buffer.getvalue(), template.page


def room(paper: Paper) -> Box:
    """The part of a page that a story may fill."""
    inner = paper.box.inset(MARGIN)
    return Box(inner.x, inner.y + _FOOT, inner.width, inner.height - _FOOT)


def _foot(place: Box, words: str, on: Any, count: str) -> None:
    line = Box(place.x, place.y - _FOOT, place.width, _FOOT - 3 * mm)
    left, right = line.cut_left(line.width - 32 * mm, gap=2 * mm)
    page.text(on, left, words, size=8, smallest=5)
    page.text(on, right, count, size=8, smallest=6, one_line=True, align="right")


def words(
    text: str,
    *,
    size: float = SIZE,
    bold: bool = False,
    before: float = 0,
    after: float = 0,
    align: str = "left",
    level: int = 0,
) -> Any:
    """A paragraph, or a heading of that `level`."""
    fonts.register()
    made = Words(text, fonts.BOLD if bold else fonts.REGULAR, size, align)
    made.role = f"H{level}" if level else "P"
    made.spaceBefore, made.spaceAfter = before, after
    return made


def paragraphs(texts: Iterable[str], *, before: float = 2, first: float = 0) -> Story:
    """A paragraph for each text that is not empty, the first one `first` points below what is above it."""
    kept = [text for text in texts if text.strip()]
    return [words(text, before=first if at == 0 else before) for at, text in enumerate(kept)]


def heading(text: str) -> Any:
    """A heading, never without what it heads."""
    made = words(text, size=12, bold=True, before=6 * mm, after=1.5 * mm, level=2)
    made.keepWithNext = 1
    return made


def part(title: str, body: Story) -> Story:
    if body and isinstance(body[0], KeepTogether):
        # The library parts a heading from what is kept together.
        return [together(heading(title), *body[0]._content), *body[1:]]
    return [heading(title), *body] if body else []


def space(height: float) -> Any:
    return Spacer(0, height)


def new_page() -> Any:
    return PageBreak()


def figure(text: str, *, size: float = SIZE, bold: bool = False, left: bool = False) -> Any:
    """A figure, flush right on one line, or a number flush left: made smaller, refused rather than cut."""

    def draw(on: Any, box: Box) -> None:
        what, align = ("number", "left") if left else ("figure", "right")
        page.text(on, box, text, size=size, smallest=4, bold=bold, whole=what, one_line=True, align=align)

    return Drawn(size * LEADING, draw)


def tick(*, ticked: bool = False, side: float = TICK) -> Any:
    """A square to tick, or one with its tick."""

    def draw(on: Any, box: Box) -> None:
        page.tick_box(on, box.x, box.y, side)
        if ticked:
            on.setLineWidth(1.6)
            low = box.x + side * 0.42, box.y + side * 0.22
            on.line(box.x + side * 0.18, box.y + side * 0.5, *low)
            on.line(*low, box.x + side * 0.84, box.y + side * 0.82)

    return Drawn(side, draw, alt="kit.ticked" if ticked else "kit.to_tick")


def line() -> Any:
    """An empty line to write on."""
    return Drawn(WRITE, lambda on, box: page.rule(on, Box(box.x, box.y, box.width, 0), 0.3))


class Lines(Flowable):
    """Lines to write on, as many as the rest of the page holds, under a title; nothing where that is not two of them."""

    def __init__(self, title: str = "") -> None:
        super().__init__()
        self._head = words(title, size=12, bold=True, level=2)
        self.spaceBefore = 6 * mm

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        _, head = self._head.wrap(width, height)
        lines = int((height - head) / WRITE)
        self.width, self.height = width, head + lines * WRITE if lines > 1 else 0.0
        return self.width, self.height

    def draw(self) -> None:
        if self.height:
            self._head.drawOn(self.canv, 0, self.height - self._head.block.height)
        for at in range(int(self.height / WRITE)):
            page.rule(self.canv, Box(0, at * WRITE, self.width, 0), 0.3)


def blanks(*labels: str, tall: float = 13 * mm) -> Any:
    """Places to write or sign, side by side, what goes there in small words under the line."""

    def draw(on: Any, box: Box) -> None:
        for place, label in zip(box.columns([1] * len(labels), 8 * mm), labels, strict=True):
            low = Box(place.x, box.y, place.width, 4.2 * mm)
            page.rule(on, low, 0.6)
            page.text(on, low.cut_top(0, gap=0.4 * mm)[1], label, size=SMALL, smallest=5, one_line=True)

    return Drawn(tall, draw)


def together(*parts: Any) -> Any:
    """What is never parted by the end of a page."""
    return KeepTogether(list(parts))


def beside(columns: Sequence[Story], shares: Sequence[float], *, gap: float = 4 * mm, lines: Sequence[Any] = ()) -> Any:
    """Stories side by side, each from the top of its column; `lines` are the library's commands for lines round them."""
    style = [("VALIGN", (0, 0), (-1, -1), "TOP"), *plain(), ("RIGHTPADDING", (0, 0), (-2, -1), gap), *lines]
    return Table([columns], colWidths=[f"{100 * share / sum(shares)}%" for share in shares], style=style)


def plain(by: float = 0, row: int | None = None) -> list[Any]:
    """Cells of a table (or of one row) in our type, with white `by` above and below and none at the sides."""
    everywhere = ((0, 0), (-1, -1)) if row is None else ((0, row), (-1, row))
    sides = {"LEFT": 0.0, "RIGHT": 0.0, "TOP": by, "BOTTOM": by}
    return [
        ("FONTNAME", *everywhere, fonts.REGULAR),
        *((f"{side}PADDING", *everywhere, pad) for side, pad in sides.items()),
    ]


def sums(rows: Sequence[tuple[str, str]], *, bold: bool = True, before: float = 0) -> Any:
    """Words and a figure in the right part of the page; the last pair is bold, under a line."""
    last = len(rows) - 1 if bold else len(rows)
    cells = []
    for at, (label, amount) in enumerate(rows):
        size = SIZE + 2 if at == last else SIZE
        cells.append(["", words(label, size=size, bold=at == last), figure(amount, size=size, bold=at == last)])
    style = [*plain(0.5 * mm), ("RIGHTPADDING", (0, 0), (-2, -1), 2 * mm), ("VALIGN", (0, 0), (-1, -1), "MIDDLE")]
    if bold:
        style += [("LINEABOVE", (1, -1), (-1, -1), 0.8, black), ("TOPPADDING", (0, -1), (-1, -1), 1.4 * mm)]
    told = tagged.Cells(lambda row, column: ("", "Row", "TD")[column])
    return Table(cells, colWidths=["40%", "41%", "19%"], style=style, spaceBefore=before, renderCB=told)
