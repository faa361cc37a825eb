"""Owns the papers of a fair: the pack list with what each piece may go for, and the day sheet of its money and hours.

The least price is written backwards, whole coins only, so that a buyer who reads over the table does not bargain from it.
What is known is printed; the rest is left to a pencil. Must not work out a floor.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.papers import fonts, letter, wording
from workshop.papers.flow import Piece, document, room
from workshop.papers.kit import A4, Paper
from workshop.papers.letter import Who
from workshop.papers.stack import Para
from workshop.papers.table import Column, Row, Table

FREE_LINES = 6


DAY = (
    ("Float in the box, morning", "Float in the box, evening"),
    ("Cash taken", "Paid by card"),
    ("Paid out of the box", "What for"),
    ("Pitch", "Fuel"),
    ("Began", "Ended"),
)


@dataclass(frozen=True)
class FairLine:
    """A piece on the list. `least` is the least to take, None where it is not known; `sold` and `how` once it is sold."""

    number: str
    what: str
    asked: Decimal | None
    least: Decimal | None = None
    sold: Decimal | None = None
    how: str = ""
    back: bool = False


@dataclass(frozen=True)
class FairDay:
    """The list and the sheet of one fair."""

    workshop: str
    name: str
    on: date
    lines: tuple[FairLine, ...]
    currency: str
    place: str = ""
    digits: int = 2


def backwards(least: Decimal) -> str:
    """The least price in whole coins, rounded up, its figures from the last to the first.

    >>> backwards(Decimal("92.31")), backwards(Decimal("120.00"))
    ('39', '021')
    """
    whole = int(least) + (1 if least % 1 else 0)
    return str(whole)[::-1]


def render(fair: FairDay, size: Paper = A4) -> bytes:
    """Pack list and day sheet as PDF."""
    fonts.register()
    width = room(size).width
    facts = [("Day", wording.weekday(fair.on)), ("Kept at", fair.place), ("Pieces", str(len(fair.lines)))]
    asked = [line.asked for line in fair.lines if line.asked is not None]
    if asked:
        facts.append(("Asked in all", f"{wording.number(sum(asked, Decimal(0)), fair.digits)} {fair.currency}"))
    pieces = [
        letter.head(f"Pack list, {fair.name}", Who(fair.workshop), Who(), facts, width),
        *_list(fair, width),
        *_sheet(fair, width),
    ]
    foot = f"{fair.workshop} · {fair.name} · {wording.day(fair.on)}"
    return document(pieces, size, title=f"Pack list, {fair.name}", author=fair.workshop, foot=foot)


def _list(fair: FairDay, width: float) -> list[Piece]:
    columns = (
        Column("Out", 7, tick=True),
        Column("Number", 30, code=True),
        Column("Piece", 46),
        Column(f"Asked, {fair.currency}", 22, figure=True),
        Column("Code", 13, figure=True),
        Column(f"Sold for, {fair.currency}", 24, figure=True, write=True),
        Column("Paid how", 18, write=True),
        Column("Back", 8, tick=True),
    )
    rows = [
        Row(
            (
                "",
                line.number,
                line.what,
                "" if line.asked is None else wording.number(line.asked, fair.digits),
                "" if line.least is None else backwards(line.least),
                "" if line.sold is None else wording.number(line.sold, fair.digits),
                line.how,
                "back" if line.back else "",
            )
        )
        for line in fair.lines
    ]
    blank = Row(("", "", "", "", "", "", "", ""))
    if not fair.lines:
        return letter.words([Para("Nothing is packed yet.", bold=True)], width)
    return Table(columns, width).pieces([*rows, *[blank] * (0 if any(line.sold for line in fair.lines) else 2)])


def _sheet(fair: FairDay, width: float) -> list[Piece]:
    boxes = [letter.lines_to_write(pair) for pair in DAY]
    columns = (
        Column("Time", 14, write=True),
        Column("What else was sold or asked for", 84, write=True),
        Column(f"Taken, {fair.currency}", 24, write=True),
        Column("Paid how", 24, write=True),
    )
    free = Table(columns, width).pieces([Row(("", "", "", ""))] * FREE_LINES)
    tall = sum(piece.height for piece in boxes)
    return [letter.heading("Day sheet", follows=tall), *boxes, *_gap(), *free]


def _gap() -> list[Piece]:
    return [Piece(4 * mm, lambda on, box: None)]
