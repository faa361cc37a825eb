"""Owns a line in letters that the type of all papers lacks: cut into runs of one face, joined, ordered, measured, drawn.

What no face has is refused, so that nothing prints as nothing. Must not wrap or fit.
"""

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import groupby
from typing import Any

from reportlab.pdfbase import pdfmetrics

from inventory.errors import Refused
from workshop.documents.type import cuts, faces, order
from workshop.documents.type.glyphs import Glyphs, Placed, box

JOINERS = "\u200c\u200d"
# Marks without ink that choose a form or a place to break: the letters print without them.
UNSEEN = dict.fromkeys([0xAD, 0x200B, 0x200E, 0x200F, 0x2060, 0xFEFF, *range(0xFE00, 0xFE10), *range(0xE0100, 0xE01F0)])
_QUOTED = 60
_THICKER = 0.03  # of the size: the stroke that makes a face bold which has no bold of its own


class NoType(Refused):
    """A text has a letter that no installed face can print."""

    def __init__(self, text: str, letter: str, what: str = "") -> None:
        self.letter = letter
        shown = text if len(text) <= _QUOTED else f"{text[:_QUOTED]}…"
        named = f"The {what} “{shown}”" if what else f"“{shown}”"
        super().__init__(f"{named} has {faces.why_not(letter)}", field=what.replace(" ", "_") or None)


@dataclass(frozen=True)
class Cut:
    """A static font of one face: `shaped` is joined and stacked, `thickened` drawn bolder than it is."""

    name: str
    shaped: bool = False
    thickened: bool = False
    script: str = ""

    @property
    def own(self) -> bool:
        return self.name in cuts.WEIGHTS


@dataclass(frozen=True)
class Run:
    """Signs of one cut from left to right, and their width at a size of 1."""

    cut: Cut
    signs: str
    width: float


@dataclass(frozen=True)
class Line:
    """A line's runs from left to right and its width, at a size of 1; `scale` and `lift` keep its ink in its room."""

    runs: tuple[Run, ...]
    width: float
    scale: float
    lift: float


@cache
def has(letter: str) -> bool:
    """Whether the type of all papers has this letter."""
    return ord(letter) in pdfmetrics.getFont(cuts.REGULAR).face.charToGlyph


def check(text: str, what: str = "") -> None:
    """NoType, naming the text, for the first letter that nothing installed can print."""
    for letter in dict.fromkeys(text.translate(UNSEEN).translate(order.FORCING)):
        if letter not in JOINERS and letter != "\n" and not has(letter) and faces.find(letter) is None:
            raise NoType(text, letter, what)


@lru_cache(4096)
def lay(text: str, font: str) -> Line:
    """The text as it is set in `font` and where that has no letter in other faces, whatever its size."""
    check(text)
    text = text.translate(order.FORCING)
    kept = [pair for pair in zip(text, order.levels(text), strict=True) if ord(pair[0]) not in UNSEEN]
    letters, levels = [letter for letter, _ in kept], [level for _, level in kept]
    whole = list(zip(letters, levels, _cuts(letters, font), strict=True))
    runs, at = [], []
    for (level, cut), group in groupby(whole, key=lambda each: (each[1], each[2])):
        runs.append(_run("".join(letter for letter, *_ in group), cut, left=bool(level % 2)))
        at.append(level)
    low, high = _ink(runs)
    scale = min(1.0, (cuts.ASCENT + cuts.DESCENT) / (high - low))
    lift = max(-cuts.DESCENT - low * scale, 0.0) + min(cuts.ASCENT - high * scale, 0.0)
    return Line(tuple(order.seen(runs, at)), sum(run.width for run in runs) * scale, scale, lift)


def draw(on: Any, x: float, y: float, line: Line, size: float) -> None:
    """Draw the line's runs from `x` on, its letters standing on `y`."""
    pen, size = on.beginText(x, y + line.lift * size), size * line.scale
    for run in line.runs:
        pen.setFont(run.cut.name, size)
        if run.cut.thickened:
            on.setLineWidth(size * _THICKER)
            pen.setTextRenderMode(2)
        pen.textOut(run.signs)
        if run.cut.thickened:
            pen.setTextRenderMode(0)
    on.drawText(pen)


def _ink(runs: list[Run]) -> tuple[float, float]:
    """How far the runs reach below and above the line at a size of 1: other scripts go deeper than ours."""
    low, high = -cuts.DESCENT, 0.0
    for face, signs in ((_font(run.cut.name).face, run.signs) for run in runs):
        inks = [ink for sign in signs if (ink := box(face, face.charToGlyph[ord(sign)]))]
        low = min([low, *(ink[1] / face.unitsPerEm for ink in inks)])
        high = max([high, *(ink[3] / face.unitsPerEm for ink in inks)])
    return low, high


def _cuts(letters: list[str], font: str) -> Iterator[Cut]:
    """The cut that each letter is set in; a mark or a sign of all scripts goes with the letter before it."""
    last = own = Cut(font)
    for letter in letters:
        common = (
            letter == " " or unicodedata.combining(letter) or (not has(letter) and faces.script(letter) in faces.COMMON)
        )
        if letter not in JOINERS and not (common and ord(letter) in _font(last.name).face.charToGlyph):
            last = own if has(letter) else _cut(letter, bold=font == cuts.BOLD)
        yield last


@cache
def _cut(letter: str, *, bold: bool) -> Cut:
    face = faces.find(letter)
    if face is None:
        raise NoType(letter, letter)
    file = faces.file_for(face, letter, bold=bold)
    if file.name not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(Glyphs(file.name, str(file.path), file.index, composed=file.shaped))
    return Cut(file.name, file.shaped, bold and not face.bold, faces.script(letter) if file.shaped else "")


def _font(name: str) -> Any:
    return pdfmetrics.getFont(name)


def _run(text: str, cut: Cut, *, left: bool) -> Run:
    if cut.shaped:
        return _joined(text, cut, left=left)
    signs = order.mirrored(text) if left else text
    if not cut.own:
        font = _font(cut.name)
        glyphs = [(font.face.charToGlyph[ord(sign)], sign) for sign in signs if sign not in JOINERS]
        signs = "".join(font.code([(glyph, 0, 0)], font.advance(glyph), sign) for glyph, sign in glyphs)
    return Run(cut, signs, float(pdfmetrics.stringWidth(signs, cut.name, 1)))


def _joined(text: str, cut: Cut, *, left: bool) -> Run:
    """The glyphs that HarfBuzz sets for the text: those of letters that belong together stand for them as one."""
    import uharfbuzz  # an extra, which not everybody has

    font, buffer = _font(cut.name), uharfbuzz.Buffer()
    buffer.add_str(text)
    buffer.direction, buffer.script = "rtl" if left else "ltr", cut.script
    uharfbuzz.shape(_shaper(cut.name), buffer)
    set_glyphs = list(zip(buffer.glyph_infos, buffer.glyph_positions, strict=True))
    ends = sorted({*(info.cluster for info, _ in set_glyphs), len(text)})
    signs = []
    for start, group in groupby(set_glyphs, key=lambda each: each[0].cluster):
        glyphs, pen = [], 0
        for info, place in group:
            glyphs.append((info.codepoint, pen + place.x_offset, place.y_offset))
            pen += place.x_advance
        signs += _said(font, glyphs, pen, text[start : ends[ends.index(start) + 1]], left=left)
    return Run(cut, "".join(signs), float(pdfmetrics.stringWidth("".join(signs), cut.name, 1)))


def _said(font: Glyphs, glyphs: list[Placed], width: int, text: str, *, left: bool) -> list[str]:
    """A sign for the glyphs with the text they stand for. Marks on letters that run to the left get signs of their own, of no
    ink and width: readers turn these lines round sign by sign, and would leave a mark before its letter."""
    letters = text.rstrip("".join(filter(unicodedata.combining, text))) if left else text
    marks = text[len(letters) :] if letters else ""
    return [*(font.code((), 0, mark) for mark in reversed(marks)), font.code(glyphs, width, letters or text)]


@cache
def _shaper(name: str) -> Any:
    import uharfbuzz  # an extra, which not everybody has

    return uharfbuzz.Font(uharfbuzz.Face(_font(name).file))
