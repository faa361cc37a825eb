"""Owns the count sheet: what is to be counted and where it is kept, and a place to write. It shows no figure of the books,

so that who counts is not led by it. Must not know what is there.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from reportlab.lib.units import mm

from workshop.papers import fonts, letter, wording
from workshop.papers.flow import Piece, document, room
from workshop.papers.kit import A4, Paper
from workshop.papers.letter import Who
from workshop.papers.stack import Para
from workshop.papers.table import Column, Row, Table

HOW = (
    "Count or weigh what is really there, place by place, and write it with its unit. Nothing there is 0; leave open what"
    " you did not count. Look for what has no line, too."
)


FREE_LINES = 3


NO_PLACE = "No place written"


@dataclass(frozen=True)
class CountLine:
    """A thing to count: its code or number, its name, the unit it is kept in. `ticked`: it is there or not, such as a skin."""

    code: str
    what: str
    unit: str = ""
    ticked: bool = False


@dataclass(frozen=True)
class CountSheet:
    """(place, what is kept there) in order; the place may be empty."""

    workshop: str
    written_on: date
    places: tuple[tuple[str, tuple[CountLine, ...]], ...]


def render(sheet: CountSheet, size: Paper = A4) -> bytes:
    """The sheet as PDF, a table for each place."""
    fonts.register()
    width = room(size).width
    pieces = [
        letter.head("Count sheet", Who(sheet.workshop), Who(), [("Printed", wording.day(sheet.written_on))], width),
        letter.lines_to_write(("Counted by", "Day")),
        *letter.words([Para(HOW)], width, before=2 * mm),
    ]
    for place, lines in sheet.places:
        pieces += _place(place or NO_PLACE, lines, width)
    if not sheet.places:
        pieces += letter.words([Para("Nothing is on the list yet.", bold=True)], width)
    free = Table(_COLUMNS, width).pieces([Row(("", "", "", "", ""))] * FREE_LINES)
    pieces += [letter.heading("Found without a line", follows=sum(piece.height for piece in free)), *free]
    foot = f"{sheet.workshop} · count sheet · printed {wording.day(sheet.written_on)}"
    return document(pieces, size, title="Count sheet", author=sheet.workshop, foot=foot)


_COLUMNS = (
    Column("Code", 26, code=True),
    Column("What", 66),
    Column("Kept in", 18),
    Column("Counted", 34, write=True),
    Column("Remark", 38, write=True),
)


_TICKED = (
    Column("There", 10, tick=True),
    Column("Number", 30, code=True),
    Column("What", 92),
    Column("Remark", 50, write=True),
)


def _place(place: str, lines: tuple[CountLine, ...], width: float) -> list[Piece]:
    measured = [Row((line.code, line.what, line.unit, "", "")) for line in lines if not line.ticked]
    seen = [Row(("", line.code, line.what, "")) for line in lines if line.ticked]
    made: list[Piece] = []
    if measured:
        made += Table(_COLUMNS, width).pieces(measured)
    if seen:
        made += Table(_TICKED, width).pieces(seen)
    return [letter.heading(place, follows=made[0].height + made[0].follows), *made]
