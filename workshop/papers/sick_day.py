"""Owns the sick-day sheet: what somebody else must know to look after the tubs, on one page by the shed's door.

Who is in what, what comes next, what hurts. Must not plan a step. Words are never cut: the sheet gets smaller type, and only
where the smallest that can be read does not hold it all, a second page.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from reportlab.lib.units import mm

from workshop.papers import flow, fonts, kit, stack
from workshop.papers.errors import TextTooLong
from workshop.papers.flow import Piece
from workshop.papers.kit import Box
from workshop.papers.stack import Para, Stack
from workshop.papers.text import STEP
from workshop.papers.wording import day, weekday

LARGEST, SMALLEST = 11.0, 7.0


NO_ASK = "Nobody is named. Write here whom to call: ______________________________"


TAKE_CARE = (
    "Do each step on its day and tick it. In doubt: keep rain off, leave the tub open to the air, touch nothing, and call."
    " Gloves and eye protection; the supplier's data sheets and local rules come first."
)


_SHARES = (26, 34, 46)


_GAP = 4 * mm


_PAD = 2 * mm


@dataclass(frozen=True)
class Tub:
    """One vessel or frame in use: who is in it, the next steps with their dates, what hurts, what is at risk.

    `risk` as text, such as "193.52 EUR"; empty where it is not known.
    """

    place: str
    batch: str
    skins: tuple[str, ...]
    recipe: str
    next_steps: tuple[tuple[date, str], ...]
    cautions: tuple[str, ...]
    risk: str = ""


@dataclass(frozen=True)
class SickDay:
    """The sheet for a day. `who_to_ask` are names with numbers; may be empty, and the sheet leaves a line."""

    workshop: str
    written_on: date
    tubs: tuple[Tub, ...]
    who_to_ask: tuple[str, ...] = ()


def render(sheet: SickDay) -> bytes:
    """The sheet as PDF: one A4 page at the largest type that holds it all; the fewest pages where one is too small."""
    fonts.register()
    room = flow.room(kit.A4)
    smallest = _pieces(sheet, room.width, SMALLEST)
    fewest = len(flow.paginate(smallest, room.height))
    size, pieces = LARGEST, _pieces(sheet, room.width, LARGEST)
    while not _fits(pieces, room.height, fewest):
        if size <= SMALLEST:
            words = ", ".join(tub.batch for tub in sheet.tubs)
            raise TextTooLong("sheet of steps and cautions", words, room.width / mm, room.height / mm)
        size = max(SMALLEST, size - STEP)
        pieces = _pieces(sheet, room.width, size)
    foot = f"{sheet.workshop} · written {day(sheet.written_on)} · a newer sheet takes the place of this one"
    return flow.document(pieces, kit.A4, title="Sick-day sheet", author=sheet.workshop, foot=foot)


def _fits(pieces: Sequence[Piece], height: float, pages: int) -> bool:
    return all(piece.height <= height for piece in pieces) and len(flow.paginate(pieces, height)) <= pages


def _pieces(sheet: SickDay, width: float, size: float) -> list[Piece]:
    tubs = [_tub(tub, width, size) for tub in sheet.tubs]
    return [_head(sheet, width, size), *(tubs or [_nothing(width, size)])]


def _head(sheet: SickDay, width: float, size: float) -> Piece:
    ask = "Ask: " + " · ".join(sheet.who_to_ask) if sheet.who_to_ask else NO_ASK
    title = stack.at([Para(sheet.workshop), Para("If I cannot come: the tubs", bold=True, larger=9)], width, size)
    said = [Para(ask, bold=True, larger=1), Para(TAKE_CARE, before=2)]
    framed = stack.at(said, width - 2 * _PAD, size)

    def draw(on: Any, box: Box) -> None:
        taken = stack.draw(on, box, title)
        _, rest = box.cut_top(taken, gap=_PAD)
        frame, _ = rest.cut_top(framed.height + 2 * _PAD)
        on.setLineWidth(1.4)
        on.rect(frame.x, frame.y, frame.width, frame.height)
        stack.draw(on, frame.inset(_PAD), framed)

    return Piece(title.height + framed.height + 5 * _PAD, draw)


def _nothing(width: float, size: float) -> Piece:
    said = stack.at([Para("No tub or frame is in use.", bold=True, larger=2)], width, size)
    return Piece(said.height, lambda on, box: _drawn(on, box, said))


def _drawn(on: Any, box: Box, said: Stack) -> None:
    stack.draw(on, box, said)


def _tub(tub: Tub, width: float, size: float) -> Piece:
    widths = [place.width for place in Box(0, 0, width, 0).columns(_SHARES, _GAP)]
    columns = [stack.at(said, wide, size) for said, wide in zip(_said(tub), widths, strict=True)]
    height = max(column.height for column in columns) + 3 * _PAD

    def draw(on: Any, box: Box) -> None:
        kit.rule(on, box, 1.2)
        _, rest = box.cut_top(0, gap=_PAD)
        for place, column in zip(rest.columns(_SHARES, _GAP), columns, strict=True):
            stack.draw(on, place, column)

    return Piece(height, draw)


def _said(tub: Tub) -> Sequence[list[Para]]:
    skins = f"Skins {', '.join(tub.skins)}" if tub.skins else "No skin in it"
    who = [
        Para(tub.place, bold=True, larger=5),
        Para(f"Batch {tub.batch}", bold=True),
        Para(f"Recipe {tub.recipe}" if tub.recipe else ""),
        Para(skins, before=1),
        Para(f"At risk: {tub.risk}" if tub.risk else "", before=1),
    ]
    steps = [Para(f"{weekday(when)}: {words}", tick=True, before=2) for when, words in tub.next_steps]
    hurts = [Para(words, before=2) for words in tub.cautions]
    return (
        who,
        [Para("What next", bold=True), *(steps or [Para("Nothing to do but look.")])],
        [
            Para("What hurts", bold=True),
            *(hurts or [Para("Nothing known. Gloves all the same; ask for the data sheet.")]),
        ],
    )
