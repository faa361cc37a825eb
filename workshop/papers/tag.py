"""Owns the tags that go wet: the skin tag with its hole code, and the frame tag. Must not read any record.

Both are printed on waterproof sheet and tied on through the hole at the left. Ink wears off in liquor; on a skin tag the
printed rings are punched, and the holes still say which skin it is (see `punch` for the code and how it is read).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from reportlab.lib.units import mm

from workshop.papers import kit, punch, stack
from workshop.papers.errors import WrongCopies
from workshop.papers.kit import Box, Draw, Paper
from workshop.papers.stack import Para
from workshop.papers.wording import day, opened

TAG = Paper(90, 48)


FIGURES = 12.2 * mm  # 12 mm and a hair, to be read across a tub


TIE_RADIUS = 2.5 * mm  # an office punch makes holes of 5 to 6 mm


HOLE_RADIUS = 1.5 * mm  # pliers make holes of 2 to 3 mm


HOLES_APART = 4.3 * mm


ROWS_APART = 4.2 * mm


OWN = "own"


KEY = "Punch the rings. A row adds up to its sign: 0 to 9, A 10 to Z 35. Its holes, less “top”, are odd in number."


_STRIP = 12 * mm


_EDGE = 2.7 * mm


_CODE = 5.5 * mm


_SIGN = 3 * mm


_KEY = 2.4 * mm


_PUNCHED = _SIGN + (len(punch.WEIGHTS) + 2) * HOLES_APART


_GAP = 2 * mm


@dataclass(frozen=True)
class SkinTag:
    """One skin's tag. `owner_mark` is "own", or the name of the customer whose skin it is."""

    tag: str
    species: str
    owner_mark: str
    date_in: date
    workshop: str


@dataclass(frozen=True)
class FrameTag:
    """What hangs on a frame: the skins laced to it, since when, and about when they can be softened."""

    frame: str
    skins: tuple[str, ...]
    batch: str
    up_on: date
    ready_about: date | None
    workshop: str = ""


def render(tags: SkinTag | Sequence[SkinTag], copies: int = 1, sheet: Paper | None = None) -> bytes:
    """Skin tags as PDF: a page of 90 × 48 mm each, or laid on `sheet` (A4 takes twelve) to cut apart."""
    given = (tags,) if isinstance(tags, SkinTag) else tuple(tags)
    return _deck([_skin(one) for one in given], copies, sheet, f"Tags {_names([one.tag for one in given])}")


def render_frames(tags: FrameTag | Sequence[FrameTag], copies: int = 1, sheet: Paper | None = None) -> bytes:
    """Frame tags as PDF, of the same size as skin tags."""
    given = (tags,) if isinstance(tags, FrameTag) else tuple(tags)
    return _deck([_frame(one) for one in given], copies, sheet, f"Frames {_names([one.frame for one in given])}")


def _deck(draws: list[Draw], copies: int, sheet: Paper | None, title: str) -> bytes:
    if not 1 <= copies <= kit.MOST_COPIES:
        raise WrongCopies(copies, kit.MOST_COPIES)
    each = [draw for draw in draws for _ in range(copies)]
    return kit.deck(each, TAG, sheet=sheet, title=title, author="Tawery")


def _names(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}" if names else ""


def _skin(tag: SkinTag) -> Draw:
    def draw(on: Any, page: Box) -> None:
        rest = _tied(on, page, tag.tag, "tag")
        code, rest = _foot(rest)
        rows = punch.rows(tag.tag)
        _barcode(on, code, tag.tag, KEY if rows else "")
        words = rest
        if rows:
            words, holes = rest.cut_left(rest.width - _PUNCHED - _GAP, gap=_GAP)
            _holes(on, holes, rows)
        # A letter like J hangs into the top of the words' column.
        _, words = words.cut_top(FIGURES * kit.HANG * 0.7)
        _told(on, words, _skin_words(tag), "owner of the skin")

    return draw


def _skin_words(tag: SkinTag) -> list[Para]:
    theirs = tag.owner_mark.strip().lower() != OWN
    return [
        Para(opened(tag.species), bold=True),
        Para(f"Customer: {tag.owner_mark}" if theirs else "Own skin", bold=theirs),
        Para(f"In {day(tag.date_in)}"),
        Para(tag.workshop, larger=-1.5),
    ]


def _frame(tag: FrameTag) -> Draw:
    def draw(on: Any, page: Box) -> None:
        rest = _tied(on, page, tag.frame, "frame")
        code, rest = _foot(rest)
        _barcode(on, code, tag.frame)
        _, rest = rest.cut_top(FIGURES * kit.HANG * 0.7)
        ready = f"Ready about {day(tag.ready_about)}" if tag.ready_about else "Ready when it is damp to dry: look daily"
        said = [
            Para(f"Skins {', '.join(tag.skins)}", bold=True),
            Para(f"Batch {tag.batch}"),
            Para(f"Up {day(tag.up_on)}"),
            Para(ready, bold=True),
            Para(tag.workshop, larger=-1.5),
        ]
        _told(on, rest, said, "skins on the frame")

    return draw


def _told(on: Any, box: Box, said: list[Para], whole: str) -> None:
    stack.draw(on, box, stack.fit(said, box.width, box.height, size=10, smallest=4.75, whole=whole))


def _tied(on: Any, page: Box, number: str, whole: str) -> Box:
    """The tie hole and the large number; returns what is left below the number."""
    kit.ring(on, page.x + _STRIP / 2, page.y + page.height / 2, TIE_RADIUS)
    _, inner = page.cut_left(_STRIP)
    inner = Box(inner.x, inner.y + _EDGE, inner.width - _EDGE, inner.height - 2 * _EDGE)
    figures, rest = inner.cut_top(FIGURES, gap=1 * mm)
    kit.tall(on, figures, number, whole=whole)
    return rest


def _foot(box: Box) -> tuple[Box, Box]:
    rest, foot = box.cut_top(box.height - _CODE - 1 * mm, gap=1 * mm)
    return foot, rest


def _barcode(on: Any, box: Box, number: str, key: str = "") -> None:
    """The number as bars, and the key of the holes to the right of them where a long number leaves room."""
    taken = kit.barcode(on, box, number) if kit.barcodable(number) else 0
    _, beside = box.cut_left(box.width - _PUNCHED + _SIGN)
    if key and taken <= box.width - beside.width:
        kit.text(on, beside, key, size=5.25, smallest=4, middle=True)


def _holes(on: Any, box: Box, rows: tuple[punch.Row, ...]) -> None:
    """The key along the top, then a row of rings for each sign; a place that stays whole is a dot."""
    x, y = box.x + _SIGN + HOLES_APART / 2, box.top - _KEY - ROWS_APART / 2
    places = [x + index * HOLES_APART for index in range(len(punch.WEIGHTS) + 2)]
    for place, key in zip(places, ("top", *map(str, punch.WEIGHTS), "odd"), strict=True):
        label = Box(place - HOLES_APART / 2, box.top - _KEY, HOLES_APART, _KEY)
        kit.text(on, label, key, size=5.25, smallest=4, one_line=True, align="centre")
    kit.ring(on, places[0], y, HOLE_RADIUS)
    for index, row in enumerate(rows):
        level = y - index * ROWS_APART
        sign = Box(box.x, level - ROWS_APART / 2, _SIGN, ROWS_APART)
        kit.text(on, sign, row.sign, size=8, smallest=5, bold=True, one_line=True, middle=True)
        for place, punched in zip(places[1:], (*row.holes, row.check), strict=True):
            if punched:
                kit.ring(on, place, level, HOLE_RADIUS)
            else:
                on.circle(place, level, 0.3 * mm, stroke=0, fill=1)
