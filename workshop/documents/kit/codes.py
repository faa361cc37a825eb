"""Owns the codes that a phone or a scanner reads: Code 128 where it has room, a QR code else. Must not know what is coded.

Bars and modules are four dots of a thermal printer (203 an inch), so that each is printed as wide as the next. Four are read from a
picture of 150 dots an inch that is turned by 3 degrees and blurred by a dot, whatever is coded; of QR codes of three dots, a fifth
was not. So none is drawn finer, and a label without room for its code is refused.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from typing import Any

from reportlab.graphics.barcode.code128 import Code128, Code128Auto
from reportlab.lib.units import inch, mm

from workshop.documents.kit.page import Box
from workshop.documents.kit.text import SLACK, TextTooLong, tidy

DOT = inch / 203
BAR = MODULE = 4 * DOT
QUIET_BARS = 10  # Code 128's own rule
QUIET_MODULES = 4  # QR's own rule
QUIET = QUIET_BARS * BAR
GAP = QUIET_MODULES * MODULE
_LEAST_BESIDE = 15 * mm
Run = tuple[int, int, int]  # left, row, length in modules


@dataclass(frozen=True)
class Code:
    """The dark runs of a code, row by row from the top, on a square of so many modules or a line of so many bars."""

    runs: tuple[Run, ...]
    side: int


def beside(on: Any, box: Box, number: str, *, height: float) -> Box:
    """The number as bars of that height along the top of the box where they have room, else as a QR code at its right.

    Returns what is left of the box. The caller leaves QUIET white to the left of the box.
    """
    if (wide := taken(number)) and wide <= box.width:
        strip, rest = box.cut_top(height, gap=mm)
        bars(on, strip, number)
        return rest
    return corner(on, box, number)


def taken(number: str) -> float:
    """Points that the bars of a number take with their quiet zone at the right; 0 where it has none."""
    return _bars(tidy(number)).side * BAR + QUIET if barcodable(number) else 0.0


def bars(on: Any, box: Box, number: str) -> None:
    """The number as Code 128, as tall as the box, its first bar flush with the box's left side."""
    _fill(on, _bars(tidy(number)), box.x, box.top, BAR, box.height)


def corner(on: Any, box: Box, number: str) -> Box:
    """The number as a QR code in the upper right corner of the box; returns what is left beside it, its quiet zone away.

    The caller leaves GAP white above and right of the box, or as much of it as the label's edge gives.
    """
    code = _qr(tidy(number))
    side = code.side * MODULE
    if side > box.height + SLACK or box.width - side - GAP < min(_LEAST_BESIDE, box.width / 3):
        raise TextTooLong("code", number, box.width / mm, box.height / mm)
    _fill(on, code, box.right - side, box.top, MODULE, MODULE)
    return Box(box.x, box.y, box.width - side - GAP, box.height)


def side(number: str) -> float:
    """Points that a QR code of the number takes each way, without its quiet zone."""
    return float(_qr(tidy(number)).side * MODULE)


def barcodable(number: str) -> bool:
    """Whether a plain Code 128 can carry this number: printable ASCII, nothing else reads back on every scanner."""
    return bool(number) and all(" " <= sign <= "~" for sign in number)


@lru_cache(512)
def _bars(number: str) -> Code:
    # The form that packs figure pairs is shorter for long runs of figures, longer for mixed numbers.
    return min((_of(form(number, quiet=False)) for form in (Code128, Code128Auto)), key=lambda code: code.side)


def _of(made: Any) -> Code:
    """Its bars and spaces are written as letters, large and small, A and a for one wide, B and b for two."""
    made.validate()
    made.encode()
    made.decompose()
    at, runs = 0, []
    for sign in made.decomposed:
        wide = ord(sign.upper()) - ord("A") + 1
        if sign.isupper():
            runs.append((at, 0, wide))
        at += wide
    return Code(tuple(runs), at)


@lru_cache(512)
def _qr(number: str) -> Code:
    import segno  # only what prints a code brings it in

    # A reader guesses what letters the bytes are: “2ÅÄ7” in ISO 8859-1 may be taken for Japanese, in UTF-8 for nothing else.
    made = segno.make(number, error="m", micro=False, encoding=None if number.isascii() else "utf-8")
    rows = [list(row) for row in made.matrix]
    return Code(tuple(run for at, row in enumerate(rows) for run in _dark(at, row)), len(rows))


def _dark(at: int, row: list[int]) -> Iterator[Run]:
    x = 0
    for dark, signs in groupby(row):
        wide = len(list(signs))
        if dark:
            yield x, at, wide
        x += wide


def _fill(on: Any, code: Code, x: float, top: float, wide: float, tall: float) -> None:
    """One shape, with a unit of the code's own, so that its runs are whole numbers."""
    on.saveState()
    on.transform(wide, 0, 0, -tall, x, top)
    on.fill_whole(code.runs)
    on.restoreState()
