"""Owns what all papers share: sizes, boxes, the canvas, placed text, the barcode, and cards laid on a sheet.

Black only, so that a cheap printer and a copier give the same paper. Must not know what any one paper says.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any, TypeVar

from reportlab.graphics.barcode.code128 import Code128, Code128Auto
from reportlab.lib.units import mm

from inventory.errors import Refused
from workshop.documents.kit import fonts, tagged
from workshop.documents.kit.cuts import ASCENT, DESCENT
from workshop.documents.kit.text import LEADING, Block, TextTooLong, fit, tidy

Size = TypeVar("Size")
MOST_COPIES = 200

# Bar widths: common practice for laser and ink-jet printers, no source. A quiet zone of ten bars is Code 128's rule.
NARROWEST_BAR = 0.25 * mm
WIDEST_BAR = 0.4 * mm
QUIET_BARS = 10
QUIET = QUIET_BARS * WIDEST_BAR
UNPRINTED = 3 * mm  # common practice, no source: plain printers leave about this much white at the edge
FIGURE_HEIGHT = 0.714  # of the size: height of a figure in Noto Sans, from the font's own cap height
HANG = DESCENT / FIGURE_HEIGHT  # of a figure's height: how far a letter like J may hang below it


@dataclass(frozen=True)
class Paper:
    """A paper by its width and height in millimetres."""

    width_mm: float
    height_mm: float

    @property
    def size(self) -> tuple[float, float]:
        return self.width_mm * mm, self.height_mm * mm

    @property
    def box(self) -> Box:
        return Box(0, 0, *self.size)

    def turned(self) -> Paper:
        return Paper(self.height_mm, self.width_mm)

    def for_most(self, card: Paper) -> Paper:
        """This sheet, upright or lying, whichever takes more of the cards."""
        return max((self, self.turned()), key=lambda sheet: len(slots(sheet, card)))


A4 = Paper(210, 297)
LETTER = Paper(215.9, 279.4)
A6 = Paper(105, 148)
TICKET = Paper(85, 55)
SHEETS = {"a4": A4, "letter": LETTER}


def sheet_of(name: str) -> Paper | None:
    """A sheet by its name in an address or a command; none where none is asked for."""
    if name and name not in SHEETS:
        raise Refused(f"There is no sheet {name!r}; choose one of {', '.join(SHEETS)}.", field="sheet")
    return SHEETS.get(name)


@dataclass(frozen=True)
class Box:
    """A place on the paper in points, measured from its lower left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def top(self) -> float:
        return self.y + self.height

    @property
    def right(self) -> float:
        return self.x + self.width

    def inset(self, by: float) -> Box:
        return Box(self.x + by, self.y + by, self.width - 2 * by, self.height - 2 * by)

    def cut_top(self, height: float, gap: float = 0) -> tuple[Box, Box]:
        """The strip of that height at the top, and what is left below a gap."""
        left = self.height - height - gap
        return Box(self.x, self.top - height, self.width, height), Box(self.x, self.y, self.width, left)

    def columns(self, shares: Sequence[float], gap: float) -> list[Box]:
        """Boxes side by side over the whole width, by shares of what the gaps leave."""
        free = self.width - gap * (len(shares) - 1)
        made, x = [], self.x
        for share in shares:
            wide = free * share / sum(shares)
            made.append(Box(x, self.y, wide, self.height))
            x += wide + gap
        return made

    def cut_left(self, width: float, gap: float = 0) -> tuple[Box, Box]:
        """The strip of that width at the left, and what is right of a gap."""
        left = self.width - width - gap
        return Box(self.x, self.y, width, self.height), Box(self.x + width + gap, self.y, left, self.height)


def canvas(buffer: BytesIO, paper: Paper, title: str, author: str, *, language: str = "en") -> Any:
    """A canvas that writes the same bytes for the same paper and knows no font but ours."""
    fonts.register()
    made = tagged.Tagged(buffer, pagesize=paper.size, invariant=1, initialFontName=fonts.REGULAR, lang=language)
    made.say(title=title, author=author, subject=f"{title}, {paper.width_mm:g} × {paper.height_mm:g} mm")
    return made


@tagged.read_out
def put(on: Any, box: Box, block: Block, *, align: str = "left", middle: bool = False) -> None:
    """Draw a fitted block at the top (or middle) of its box, from the right where its first letter runs to the left."""
    on.setFont(block.font, block.size)
    if align == "left" and block.lines and fonts.turned(block.lines[0]):
        align = "right"
    draw, x = {
        "left": (on.drawString, box.x),
        "right": (on.drawRightString, box.right),
        "centre": (on.drawCentredString, box.x + box.width / 2),
    }[align]
    y = box.top - (box.height - block.height) / 2 if middle else box.top
    for at, line in enumerate(block.lines):
        low = y - block.size * (ASCENT + at * LEADING)
        if fonts.plain(line):
            draw(x, low, line)
        else:
            _put_any(on, box, low, line, block, align)


def _put_any(on: Any, box: Box, low: float, line: str, block: Block, align: str) -> None:
    free = box.width - fonts.width(line, block.font, block.size)
    share = {"left": 0.0, "right": 1.0, "centre": 0.5}[align]
    fonts.draw(on, box.x + free * share, low, line, block.font, block.size)


def text(
    on: Any,
    box: Box,
    words: str,
    *,
    size: float,
    smallest: float,
    bold: bool = False,
    whole: str = "",
    one_line: bool = False,
    align: str = "left",
    middle: bool = False,
) -> None:
    """Fit `words` into the box (see `text.fit`) and draw them."""
    font = fonts.BOLD if bold else fonts.REGULAR
    space = {"width": box.width, "height": box.height}
    block = fit(words, **space, font=font, size=size, smallest=smallest, whole=whole, one_line=one_line)
    put(on, box, block, align=align, middle=middle)


def tall(on: Any, box: Box, words: str, *, whole: str, smallest: float = 9) -> None:
    """One bold line, its figures as tall as the box unless it is too wide.

    A letter that reaches below the line (J, Q, small ones) hangs under the box by up to DESCENT of the size: leave HANG of
    the box's height white below. A letter with a sign above it makes the whole line smaller.
    """
    line = tidy(words).replace("\n", " ")
    size = box.height / (FIGURE_HEIGHT if line.isascii() else ASCENT)
    space = {"width": box.width, "height": size * LEADING}
    block = fit(line, **space, font=fonts.BOLD, size=size, smallest=min(smallest, size), whole=whole, one_line=True)
    # The first line's letters stand on the bottom of the box, whatever room its line would take.
    put(on, Box(box.x, box.y - block.size * DESCENT, box.width, block.height), block)


def ring(on: Any, x: float, y: float, radius: float) -> None:
    """Where a hole is to be punched: a ring with a cross at its middle."""
    cross = radius * 0.4
    on.setLineWidth(0.8)
    on.circle(x, y, radius)
    on.setLineWidth(0.4)
    on.line(x - cross, y, x + cross, y)
    on.line(x, y - cross, x, y + cross)


def tick_box(on: Any, x: float, y: float, side: float) -> None:
    """A square to tick with a pencil, by its lower left corner."""
    on.setLineWidth(1)
    on.rect(x, y, side, side)


def rule(on: Any, box: Box, thickness: float = 0.8) -> None:
    """A line along the top of the box."""
    on.setLineWidth(thickness)
    on.line(box.x, box.top, box.right, box.top)


def barcodable(number: str) -> bool:
    """Whether a plain Code 128 can carry this number: printable ASCII, nothing else reads back on every scanner."""
    return bool(number) and all(" " <= c <= "~" for c in number)


def barcode(on: Any, box: Box, number: str) -> float:
    """Draw `number` as Code 128, its first bar flush with the box; returns the width taken in points.

    The right quiet zone is inside the box; the caller leaves QUIET white to the left of it.
    """
    if not barcodable(number):
        raise _not_barcodable(number, "only plain letters, figures and signs have a code")
    # The form that packs figure pairs is shorter for long runs of figures, longer for mixed numbers.
    forms = [form(number, barWidth=1, quiet=False) for form in (Code128, Code128Auto)]
    bars, form = min(((made.width, type(made)) for made in forms), key=lambda one: one[0])
    bar = min(WIDEST_BAR, box.width / (bars + QUIET_BARS))
    if bar < NARROWEST_BAR:
        raise _not_barcodable(number, f"it would need bars of {bar / mm:.2f} mm, which a plain printer smears")
    form(number, barWidth=bar, barHeight=box.height, quiet=False).drawOn(on, box.x, box.y)
    return float((bars + QUIET_BARS) * bar)


def _not_barcodable(number: str, why: str) -> Refused:
    return Refused(
        f"“{number}” cannot be printed as a barcode: {why}."
        " Use up to 20 of the letters A to Z, figures and dashes, or go by the printed number.",
        field="article",
    )


def slots(sheet: Paper, card: Paper) -> list[Box]:
    """Places for as many cards as the sheet takes, centred, in reading order."""
    across, down = int(sheet.width_mm // card.width_mm), int(sheet.height_mm // card.height_mm)
    left = (sheet.width_mm - across * card.width_mm) / 2
    top = sheet.height_mm - (sheet.height_mm - down * card.height_mm) / 2
    width, height = card.size
    return [
        Box((left + column * card.width_mm) * mm, (top - (row + 1) * card.height_mm) * mm, width, height)
        for row in range(down)
        for column in range(across)
    ]


Draw = Callable[[Any, Box], None]


def cards(
    draws: Draw | Sequence[Draw], card: Paper, *, copies: int = 1, sheet: Paper | None, title: str, author: str
) -> bytes:
    """A PDF of cards of one size, so many copies of each: a page each, or laid on sheets with a hairline to cut along."""
    each = [draw for draw in ([draws] if callable(draws) else draws) for _ in range(copies)]
    if not 1 <= copies <= MOST_COPIES or not 1 <= len(each) <= MOST_COPIES:
        asked = copies if copies < 1 else len(each)
        raise Refused(f"{asked} copies were asked for. Ask for 1 to {MOST_COPIES}.", field="copies")
    buffer = BytesIO()
    on = canvas(buffer, sheet or card, title, author)
    places = slots(sheet, card) if sheet else [card.box]
    for start in range(0, len(each), len(places)):
        for place, draw in zip(places, each[start : start + len(places)], strict=False):
            if sheet:
                _cut_lines(on, place, sheet.box.inset(UNPRINTED))
            with on.within("Sect"):
                draw(on, place)
        on.showPage()
    on.save()
    return buffer.getvalue()


def growing(sizes: Sequence[Size], made: Callable[[Size], bytes]) -> bytes:
    """What is made at the first size that holds its words; refused where the last does not."""
    for size in sizes[:-1]:
        try:
            return made(size)
        except TextTooLong:
            continue
    return made(sizes[-1])


def _cut_lines(on: Any, card: Box, inside: Box) -> None:
    """A hairline round the card, but not where the paper's own edge does the cutting."""
    on.setLineWidth(0.25)
    left, right = max(card.x, inside.x), min(card.right, inside.right)
    bottom, top = max(card.y, inside.y), min(card.top, inside.top)
    for x in sorted({card.x, card.right} & {left, right}):
        on.line(x, bottom, x, top)
    for y in sorted({card.y, card.top} & {bottom, top}):
        on.line(left, y, right, y)
