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
from workshop.documents.words.rules import Words

MOST_BOXES = 24
TICK = 8.2 * mm  # a pencil in a wet glove
_APART = TICK + 2 * mm
_ACROSS = 4
_SIZE = 10.0
FREE_ROWS = 8
FEW_ROWS = 4  # where each day has a place for its own minutes


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

    Without a box it is done, or was skipped: the minutes are those that were logged, and nothing is left to write.

    Several cautions are lines of `caution`. The same one on the rows that follow is printed once, beside the first.
    """

    date: date
    step: str
    boxes: int = 1
    minutes: int = 0
    caution: str = ""
    skipped: bool = False

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
    words: Words = Words()


def _minutes(one: CardDay, words: Words) -> Any:
    """A line to write them on, with the usual ones under it; of what is logged, the figure."""
    if not one.boxes:
        return flow.figure(str(one.minutes or ""), size=_SIZE)
    usual = flow.words(words("card.usual", minutes=one.minutes) if one.minutes else "", size=7, align="right")
    return [flow.Drawn(5 * mm, lambda on, box: page.rule(on, Box(box.x, box.y, box.width, 0), 0.6)), usual]


def _boxes(one: CardDay, words: Words) -> Any:
    """So many squares to tick, in rows; the tick of what is done, or the word for what was passed over."""
    if not one.boxes:
        return flow.words(words("card.skipped"), size=7) if one.skipped else flow.tick(ticked=True)
    lines = -(-one.boxes // _ACROSS)

    def draw(on: Any, box: Box) -> None:
        for index in range(one.boxes):
            down, across = divmod(index, _ACROSS)
            page.tick_box(on, box.x + across * _APART, box.top - TICK - down * _APART, TICK)

    return flow.Drawn(lines * _APART - (_APART - TICK), draw, alt="kit.to_tick")


_HOURS = {"kit.date": 16, "card.work": 34, "card.skins": 18, "card.from": 11, "card.to": 11, "card.minutes": 12}


def _amounts(words: Words) -> list[Column[Amount]]:
    return [
        Column(words("card.material"), 62, lambda amount: amount.material),
        Column(words("card.planned"), 44, lambda amount: amount.planned, bold=True),
        Column(words("card.put_in"), 44, lambda amount: amount.put_in or flow.line()),
        Column(words("card.in"), 9, lambda amount: flow.tick(ticked=bool(amount.put_in), side=TICK)),
    ]


def render(card: BatchCard, size: Paper = A4) -> bytes:
    """The card as PDF, as many pages as it takes."""
    words, rows = card.words, FEW_ROWS if card.days else FREE_ROWS
    notes = words("card.notes")
    readings = {
        words("card.date_time"): 18,
        "pH": 9,
        card.degrees: 9,
        words("card.weight"): 14,
        words("card.what_i_saw"): 50,
    }
    story = [
        *_head(card),
        *_skins(card.skins, words),
        *([_table(words("card.amounts"), _amounts(words), card.amounts)] if card.amounts else []),
        *([_day_by_day(_days(card.days), words)] if card.days else []),
        _empty(words("card.hours"), {words(key): share for key, share in _HOURS.items()}, rows),
        _empty(words("card.readings"), readings, rows),
        *flow.part(notes, flow.paragraphs([card.notes])),
        flow.Lines("" if card.notes else notes),
    ]
    title, start = words("card.title", batch=card.batch), words("card.start", day=words.day(card.start))
    foot = f"{card.workshop} · {title} · {start}"
    return flow.document(story, size, title=title, author=card.workshop, foot=foot, day=card.start, words=words)


def _head(card: BatchCard) -> flow.Story:
    def draw(on: Any, box: Box) -> None:
        number, code = box.columns((62, 38), 6 * mm)
        page.tall(on, number, card.batch, whole="batch number")
        codes.beside(on, code, card.batch, height=code.height)

    words = card.words
    recipe, start = words("card.recipe", recipe=card.recipe), words("card.start", day=words.weekday(card.start))
    facts = filter(None, (recipe, start, card.vessel, card.litres))
    return [
        flow.words(f"{words('card.heading')} · {card.workshop}", size=11, level=1),
        flow.Drawn(12.2 * mm, draw, before=2 * mm),
        flow.words(" · ".join(facts), size=12, bold=True, before=5 * mm),
    ]


def _table(title: str, columns: Sequence[Column[Any]], items: Sequence[Any]) -> Table:
    return Table(columns, items, title=title, size=_SIZE)


def _day_by_day(days: list[CardDay], words: Words) -> Table:
    """The words get what the squares of the fullest day leave."""
    across = max(1, min(_ACROSS, max(one.boxes for one in days)))
    squares = across * _APART / mm + 2
    columns: list[Column[CardDay]] = [
        Column(words("card.day"), 30, lambda one: words.weekday(one.date)),
        Column(words("card.step"), 126 - squares, lambda one: (one.step, one.caution), bold=True),
        Column(words("card.done"), squares, lambda one: _boxes(one, words)),
        Column(words("card.minutes"), 18, lambda one: _minutes(one, words)),
    ]
    return _table(words("card.day_by_day"), columns, days)


def _empty(title: str, shares: dict[str, int], rows: int) -> Any:
    """A table to fill in; it stays whole."""
    columns: list[Column[None]] = [Column(name, share) for name, share in shares.items()]
    return flow.together(Table(columns, [None] * rows, title=title, boxed=True))


def _skins(skins: tuple[CardSkin, ...], words: Words) -> flow.Story:
    title = f"{words('card.skins')} ({len(skins)})"
    if not skins:
        return flow.part(title, [flow.words(words("card.no_skin"), size=_SIZE)])
    columns: list[Column[CardSkin]] = [
        Column(words("card.tag"), 42, lambda skin: flow.figure(skin.tag, size=13, bold=True, left=True)),
        Column(words("card.species"), 42, lambda skin: skin.species),
        Column(words("card.weight"), 22, lambda skin: skin.weight, figure=True),
        Column(words("card.left_on"), 60, write=True),
    ]
    return [_table(title, columns, skins)]


def _days(days: tuple[CardDay, ...]) -> list[CardDay]:
    """The days, a caution left out that the day before has too."""
    before = ["", *(one.caution for one in days)]
    return [replace(one, caution="") if one.caution == last else one for one, last in zip(days, before, strict=False)]
