"""Owns the batch card: the A4 sheets that hang by the tub and are filled in with a pencil and wet hands.

Row for row what the evening screen asks for: amounts put in, each day's ticks, hours, readings, notes. Must not plan a day
or work out an amount.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from reportlab.lib.units import mm

from inventory.errors import Refused
from workshop.documents.kit import codes, flow, page
from workshop.documents.kit.page import A4, Box, Paper
from workshop.documents.kit.table import Column, Table
from workshop.documents.kit.wording import day, weekday

MOST_BOXES = 24
TICK = 8.2 * mm  # a pencil in a wet glove
_APART = TICK + 2 * mm
_ACROSS = 4
_SIZE = 10.0
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
class CardDay:
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
            raise Refused(
                f"“{self.step}” asks for {self.boxes} tick boxes in a day. Ask for 0 to {MOST_BOXES}, or lay the step out over"
                " more days.",
                field="boxes",
            )


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
    days: tuple[CardDay, ...]
    notes: str = ""
    degrees: str = "°C"


def _minutes(one: CardDay) -> Any:
    """A line to write them on, with the usual ones under it; of what is logged, the figure."""
    if not one.boxes:
        return flow.figure(str(one.minutes or ""), size=_SIZE)
    usual = flow.words(f"usual {one.minutes}" if one.minutes else "", size=7, align="right")
    return [flow.Drawn(5 * mm, lambda on, box: page.rule(on, Box(box.x, box.y, box.width, 0), 0.6)), usual]


def _boxes(one: CardDay) -> Any:
    lines = -(-one.boxes // _ACROSS)

    def draw(on: Any, box: Box) -> None:
        for index in range(one.boxes):
            down, across = divmod(index, _ACROSS)
            page.tick_box(on, box.x + across * _APART, box.top - TICK - down * _APART, TICK)

    return flow.Drawn(max(0.0, lines * _APART - (_APART - TICK)), draw)


_SKINS: list[Column[CardSkin]] = [
    Column("Tag", 42, lambda skin: flow.figure(skin.tag, size=13, bold=True, left=True)),
    Column("Species", 42, lambda skin: skin.species),
    Column("Weight", 22, lambda skin: skin.weight, figure=True),
    Column("Left on, and why; slipped, holes", 60, write=True),
]

_AMOUNTS: list[Column[Amount]] = [
    Column("Material", 62, lambda amount: amount.material),
    Column("Planned", 44, lambda amount: amount.planned, bold=True),
    Column("Put in", 44, lambda amount: amount.put_in or flow.line()),
    Column("In", 9, lambda amount: flow.tick(side=TICK)),
]

_DAYS: list[Column[CardDay]] = [
    Column("Day", 32, lambda one: weekday(one.date)),
    Column("Step, and what to mind", 78, lambda one: (one.step, one.caution), bold=True),
    Column("Done", _ACROSS * _APART / mm, _boxes),
    Column("Minutes", 22, _minutes),
]

_HOURS = {"Date": 16, "Work": 34, "Skins": 18, "From": 11, "To": 11, "Minutes": 12}


def render(card: BatchCard, size: Paper = A4) -> bytes:
    """The card as PDF, as many pages as it takes."""
    story = [
        *_head(card),
        *_skins(card.skins),
        *([_table("Amounts, in the order they go in", _AMOUNTS, card.amounts)] if card.amounts else []),
        *([_table("Day by day", _DAYS, _days(card.days))] if card.days else []),
        _empty("Hours", _HOURS, HOURS_ROWS),
        _empty("Readings", {"Date, time": 18, "pH": 9, card.degrees: 9, "Weight": 14, "What I saw": 50}, READINGS_ROWS),
        *flow.part("Notes", [*flow.paragraphs([card.notes]), flow.together(*(flow.line() for _ in range(NOTE_LINES)))]),
    ]
    foot = f"{card.workshop} · Batch card {card.batch} · start {day(card.start)}"
    return flow.document(story, size, title=f"Batch card {card.batch}", author=card.workshop, foot=foot)


def _head(card: BatchCard) -> flow.Story:
    def draw(on: Any, box: Box) -> None:
        number, code = box.columns((62, 38), 6 * mm)
        page.tall(on, number, card.batch, whole="batch number")
        codes.beside(on, code, card.batch, height=code.height)

    facts = filter(None, (f"Recipe {card.recipe}", f"start {weekday(card.start)}", card.vessel, card.litres))
    return [
        flow.words(f"Batch card · {card.workshop}", size=11),
        flow.Drawn(12.2 * mm, draw, before=2 * mm),
        flow.words(" · ".join(facts), size=12, bold=True, before=5 * mm),
    ]


def _table(title: str, columns: Sequence[Column[Any]], items: Sequence[Any]) -> Table:
    return Table(columns, items, title=title, size=_SIZE)


def _empty(title: str, shares: dict[str, int], rows: int) -> Any:
    """A table to fill in; it stays whole."""
    columns: list[Column[None]] = [Column(name, share) for name, share in shares.items()]
    return flow.together(Table(columns, [None] * rows, title=title, boxed=True))


def _skins(skins: tuple[CardSkin, ...]) -> flow.Story:
    title = f"Skins ({len(skins)})"
    if not skins:
        return flow.part(title, [flow.words("No skin has joined this batch yet.", size=_SIZE)])
    return [_table(title, _SKINS, skins)]


def _days(days: tuple[CardDay, ...]) -> list[CardDay]:
    """The days, a caution left out that the day before has too."""
    before = ["", *(one.caution for one in days)]
    return [replace(one, caution="") if one.caution == last else one for one, last in zip(days, before, strict=False)]
