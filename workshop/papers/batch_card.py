"""Owns the batch card: the A4 sheets that hang by the tub and are filled in with a pencil and wet hands.

Row for row what the evening screen asks for: amounts put in, each day's ticks, hours, readings, notes. Must not plan a day
or work out an amount.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from reportlab.lib.units import mm

from workshop.papers import flow, fonts, kit, stack
from workshop.papers.errors import WrongBoxes
from workshop.papers.flow import Piece
from workshop.papers.kit import Box
from workshop.papers.stack import Para
from workshop.papers.wording import day, weekday

MOST_BOXES = 24


TICK = 8.2 * mm  # a pencil in a wet glove


_APART = TICK + 2 * mm


_GAP = 3 * mm


_SIZE, _SMALL = 10.0, 8.0


_PENCIL = 9 * mm  # height of a line to write on


HOURS_ROWS = 8


READINGS_ROWS = 8


NOTE_LINES = 6


@dataclass(frozen=True)
class CardSkin:
    """A skin of the batch; `weight` as text, such as "4.6 kg", or empty."""

    tag: str
    species: str
    weight: str = ""


@dataclass(frozen=True)
class Amount:
    """A material and how much of it is planned, in the maker's own measure; `put_in` what went in already, else a line."""

    material: str
    planned: str
    put_in: str = ""


@dataclass(frozen=True)
class DayRow:
    """What is to be done on a day: so many boxes to tick, so many minutes usual (0 for not known), and what hurts in it.

    Without a box it is done: the minutes are those that were logged, and nothing is left to write.

    Several cautions are lines of `caution`. The same one on the rows that follow is printed once, beside the first.
    """

    date: date
    step: str
    boxes: int = 1
    minutes: int = 0
    caution: str = ""

    def __post_init__(self) -> None:
        if not 0 <= self.boxes <= MOST_BOXES:
            raise WrongBoxes(self.step, self.boxes, MOST_BOXES)


@dataclass(frozen=True)
class BatchCard:
    """One batch. `litres` as text, such as "18 L", or empty where there is no bath; `vessel` may be empty too."""

    workshop: str
    batch: str
    recipe: str
    start: date
    vessel: str
    litres: str
    skins: tuple[CardSkin, ...]
    amounts: tuple[Amount, ...]
    days: tuple[DayRow, ...]
    notes: str = ""


def render(card: BatchCard) -> bytes:
    """The card as PDF on A4, as many pages as it takes."""
    fonts.register()
    width = flow.room(kit.A4).width
    pieces = [
        _head(card),
        *_skins(card.skins),
        *_amounts(card.amounts),
        *_days(card.days, width),
        *_grid("Hours", ("Date", "Work", "Skins", "From", "To", "Minutes"), (16, 34, 18, 11, 11, 12), HOURS_ROWS),
        *_grid("Readings", ("Date, time", "pH", "°C", "Weight", "What I saw"), (18, 9, 9, 14, 50), READINGS_ROWS),
        *_notes(card.notes, width),
    ]
    foot = f"{card.workshop} · Batch card {card.batch} · start {day(card.start)}"
    return flow.document(pieces, kit.A4, title=f"Batch card {card.batch}", author=card.workshop, foot=foot)


def _head(card: BatchCard) -> Piece:
    def draw(on: Any, box: Box) -> None:
        top, rest = box.cut_top(5.5 * mm, gap=2.5 * mm)
        kit.text(on, top, f"Batch card · {card.workshop}", size=11, smallest=7, one_line=True)
        figures, facts = rest.cut_top(12.2 * mm, gap=5 * mm)
        number, code = figures.columns((62, 38), 6 * mm) if kit.barcodable(card.batch) else (figures, None)
        kit.tall(on, number, card.batch, whole="batch number")
        if code:
            kit.barcode(on, code, card.batch)
        said = filter(None, (f"Recipe {card.recipe}", f"start {weekday(card.start)}", card.vessel, card.litres))
        kit.text(on, facts, " · ".join(said), size=12, smallest=7, bold=True, whole="recipe and vessel")

    return Piece(33 * mm, draw)


def _heading(words: str, follows: float) -> Piece:
    def draw(on: Any, box: Box) -> None:
        _, place = box.cut_top(0, gap=3 * mm)
        kit.text(on, place, words, size=12, smallest=8, bold=True, middle=True)

    return Piece(10 * mm, draw, follows=follows)


def _table(title: str, names: Sequence[str], shares: Sequence[float], rows: Sequence[Piece]) -> list[Piece]:
    """A heading, the names of the columns, and the rows; the names are repeated on a page that continues them."""

    def draw(on: Any, box: Box) -> None:
        for place, name in zip(box.columns(shares, _GAP), names, strict=True):
            kit.text(on, place, name, size=_SMALL, smallest=5.5, one_line=True, middle=True)
        _line_below(on, box, 1)

    head = Piece(5.5 * mm, draw)
    first = rows[0].height if rows else 0
    continued = [Piece(row.height, row.draw, head, row.follows) for row in rows]
    return [_heading(title, head.height + first), Piece(head.height, draw, follows=first), *continued]


_SKIN_SHARES = (30, 45, 20, 60)


def _skins(skins: tuple[CardSkin, ...]) -> list[Piece]:
    def row(skin: CardSkin) -> Piece:
        def draw(on: Any, box: Box) -> None:
            tag, species, weight, _ = box.columns(_SKIN_SHARES, _GAP)
            kit.text(on, tag, skin.tag, size=13, smallest=6, bold=True, whole="tag", one_line=True, middle=True)
            kit.text(on, species, skin.species, size=_SIZE, smallest=5.5, middle=True)
            _figure(on, weight, skin.weight, "weight")
            _line_below(on, box)

        return Piece(8 * mm, draw)

    names = ("Tag", "Species", "Weight", "Left on, and why; slipped, holes")
    rows = [row(skin) for skin in skins] or [_sentence("No skin has joined this batch yet.")]
    return _table(f"Skins ({len(skins)})", names, _SKIN_SHARES, rows)


_AMOUNT_SHARES = (62, 48, 44, 9)


def _amounts(amounts: tuple[Amount, ...]) -> list[Piece]:
    def row(amount: Amount) -> Piece:
        def draw(on: Any, box: Box) -> None:
            material, planned, put_in, tick = box.columns(_AMOUNT_SHARES, _GAP)
            kit.text(on, material, amount.material, size=_SIZE, smallest=6, middle=True)
            _figure(on, planned, amount.planned, "planned amount", bold=True)
            kit.tick_box(on, tick.x, tick.y + (tick.height - TICK) / 2, TICK)
            if amount.put_in:
                _figure(on, put_in, amount.put_in, "amount put in")
            else:
                on.setLineWidth(0.6)
                on.line(put_in.x, put_in.y + 2.2 * mm, put_in.right, put_in.y + 2.2 * mm)
            _line_below(on, box)

        return Piece(TICK + 2.4 * mm, draw)

    if not amounts:
        return []
    return _table(
        "Amounts, in the order they go in",
        ("Material", "Planned", "Put in", "In"),
        _AMOUNT_SHARES,
        [row(amount) for amount in amounts],
    )


_DAY_SHARES = (32, 78, 4 * _APART / mm, 24)


def _days(days: tuple[DayRow, ...], width: float) -> list[Piece]:
    rows = []
    told = ""
    for one in days:
        rows.append(_day(one, one.caution if one.caution != told else "", width))
        told = one.caution
    if not rows:
        return []
    return _table("Day by day", ("Day", "Step, and what to mind", "Done", "Minutes"), _DAY_SHARES, rows)


def _day(row: DayRow, caution: str, width: float) -> Piece:
    words = Box(0, 0, width, 0).columns(_DAY_SHARES, _GAP)[1]
    said = [Para(row.step, bold=True), Para(caution, larger=_SMALL - _SIZE, before=1)]
    step = stack.fit(said, words.width, 110 * mm, size=_SIZE, smallest=7, whole="step and caution")
    lines = max(1, -(-row.boxes // 4))
    pad = 1.4 * mm
    height = max(step.height, lines * _APART - (_APART - TICK)) + 2 * pad

    def draw(on: Any, box: Box) -> None:
        when, what, done, minutes = Box(box.x, box.y + pad, box.width, box.height - 2 * pad).columns(_DAY_SHARES, _GAP)
        kit.text(on, when, weekday(row.date), size=_SIZE, smallest=7, one_line=True)
        stack.draw(on, what, step)
        for index in range(row.boxes):
            down, across = divmod(index, 4)
            kit.tick_box(on, done.x + across * _APART, done.top - TICK - down * _APART, TICK)
        _minutes(on, minutes, row)
        _line_below(on, box)

    return Piece(height, draw)


def _minutes(on: Any, box: Box, row: DayRow) -> None:
    """A line to write them on, with the usual ones under it; of what is logged, the figure."""
    if not row.boxes:
        kit.text(on, box, str(row.minutes or ""), size=_SIZE, smallest=7, align="right")
        return
    on.setLineWidth(0.6)
    on.line(box.x, box.top - TICK + 3.2 * mm, box.right, box.top - TICK + 3.2 * mm)
    usual = Box(box.x, box.top - TICK, box.width, 3 * mm)
    kit.text(on, usual, f"usual {row.minutes}" if row.minutes else "", size=7, smallest=5, align="right")


def _grid(title: str, names: Sequence[str], shares: Sequence[float], rows: int) -> list[Piece]:
    """Empty cells to write in."""

    def draw(on: Any, box: Box) -> None:
        on.setLineWidth(0.5)
        # Cells have no gaps, unlike their names above, which stand clear of the lines.
        edge = box.x
        for place in box.columns(shares, _GAP):
            right = min(place.right + _GAP / 2, box.right)
            on.rect(edge, box.y, right - edge, box.height)
            edge = right

    return _table(title, names, shares, [Piece(_PENCIL, draw) for _ in range(rows)])


def _notes(words: str, width: float) -> list[Piece]:
    printed = stack.fit([Para(words)], width, 60 * mm, size=_SIZE, smallest=7, whole="note")

    def draw(on: Any, box: Box) -> None:
        stack.draw(on, box, printed)

    lines = [Piece(_PENCIL, _line_below) for _ in range(NOTE_LINES)]
    return [_heading("Notes", printed.height + 2 * _PENCIL), Piece(printed.height, draw), *lines]


def _sentence(words: str) -> Piece:
    def draw(on: Any, box: Box) -> None:
        kit.text(on, box, words, size=_SIZE, smallest=6, middle=True)

    return Piece(8 * mm, draw)


def _figure(on: Any, box: Box, words: str, whole: str, *, bold: bool = False) -> None:
    kit.text(on, box, words, size=_SIZE, smallest=5.5, bold=bold, whole=whole, middle=True)


def _line_below(on: Any, box: Box, thickness: float = 0.3) -> None:
    on.setLineWidth(thickness)
    on.line(box.x, box.y, box.right, box.y)
