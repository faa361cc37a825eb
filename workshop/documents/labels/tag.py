"""Owns the tags that go wet: the skin tag with its hole code, the frame tag, and a frame's own number. Must not read any record.

Both are printed on waterproof sheet and tied on through the hole at the left. Ink wears off in liquor; on a skin tag the
printed rings are punched, and the holes still say which skin it is (see `punch` for the code and how it is read).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import cards, codes, page, short, stack
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.stack import Para
from workshop.documents.kit.text import LEAST
from workshop.documents.kit.wording import opened
from workshop.documents.labels import punch
from workshop.documents.words.rules import Words
from workshop.documents.words.species import trade_name

TAG = Paper(90, 48)
FIGURES = 12.2 * mm  # 12 mm and a hair, to be read across a tub
TIE_RADIUS = 2.5 * mm  # an office punch makes holes of 5 to 6 mm
HOLE_RADIUS = 1.5 * mm  # pliers make holes of 2 to 3 mm
HOLES_APART = 4.3 * mm
ROWS_APART = 4.2 * mm
OWN = "own"
_STRIP = 12 * mm
_EDGE = 2.7 * mm
_CODE = 5.5 * mm
_SIGN = 3 * mm
_KEY = 2.7 * mm
_LEGEND = 6  # points: what an eye without glasses still reads; common practice, no source
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
    words: Words = Words()


@dataclass(frozen=True)
class FrameTag:
    """What hangs on a frame: the skins laced to it, since when, and about when they can be softened.

    `code` is what its bars hold; the frame if empty.
    """

    frame: str
    skins: tuple[str, ...]
    batch: str
    up_on: date
    ready_about: date | None
    workshop: str = ""
    code: str = ""
    words: Words = Words()


@dataclass(frozen=True)
class FrameLabel:
    """A frame's own number, with where it hangs and what it is, either of which may be empty."""

    number: str
    place: str = ""
    note: str = ""
    workshop: str = ""
    words: Words = Words()


def render(tags: SkinTag | Sequence[SkinTag], copies: int = 1, sheet: Paper | None = None) -> bytes:
    """Skin tags as PDF: a page of 90 × 48 mm each, or laid on `sheet` (A4 takes twelve) to cut apart."""
    return _run([card(one) for one in ((tags,) if isinstance(tags, SkinTag) else tags)], copies, sheet)


def render_frames(tags: FrameTag | Sequence[FrameTag], copies: int = 1, sheet: Paper | None = None) -> bytes:
    """Frame tags as PDF, of the same size as skin tags."""
    return _run([frame_card(one) for one in ((tags,) if isinstance(tags, FrameTag) else tags)], copies, sheet)


def render_numbers(labels: FrameLabel | Sequence[FrameLabel], copies: int = 1, sheet: Paper | None = None) -> bytes:
    """Labels with the numbers of frames as PDF, of the same size as skin tags."""
    return _run([number_card(one) for one in ((labels,) if isinstance(labels, FrameLabel) else labels)], copies, sheet)


def card(tag: SkinTag) -> Card:
    return Card(partial(_skin, tag=tag), (TAG,), tag.words("tag.title", tag=tag.tag), tag.workshop or "Tawery")


def frame_card(tag: FrameTag) -> Card:
    return Card(
        partial(_frame, tag=tag), (TAG,), tag.words("tag.frame_title", frame=tag.frame), tag.workshop or "Tawery"
    )


def number_card(label: FrameLabel) -> Card:
    return Card(
        partial(_number, label=label),
        (TAG,),
        label.words("tag.frame_title", frame=label.number),
        label.workshop or "Tawery",
    )


def _run(made: Sequence[Card], copies: int, sheet: Paper | None) -> bytes:
    return cards.run(made, copies=copies, layout=cards.apart(sheet, TAG) if sheet else None)


def _skin(on: Any, place: Box, tag: SkinTag) -> None:
    say = tag.words
    theirs = tag.owner_mark.strip().lower() != OWN
    paras = [
        Para(opened(trade_name(tag.species, tag.words)), bold=True),
        Para(say("tag.customer", name=tag.owner_mark) if theirs else say("tag.own"), bold=theirs),
        Para(say("tag.came_in", day=say.day(tag.date_in))),
        Para(tag.workshop, larger=-1.5),
    ]
    rows = punch.rows(tag.tag)
    if not short.roomy(place, TAG):
        short.put(on, place, head=tag.tag, code=tag.tag, paras=paras, whole="owner of the skin")
        return
    words = _tied(on, place, tag.tag, "tag", say("tag.key") if rows else "")
    if rows:
        words, holes = words.cut_left(words.width - _PUNCHED - _GAP, gap=_GAP)
        _holes(on, holes, rows, say)
    _words(on, words, paras, "owner of the skin")


def _frame(on: Any, place: Box, tag: FrameTag) -> None:
    say = tag.words
    ready = say("tag.ready", day=say.day(tag.ready_about)) if tag.ready_about else say("tag.look_daily")
    paras = [
        Para(say("tag.skins", skins=", ".join(tag.skins)), bold=True),
        Para(say("tag.batch", batch=tag.batch)),
        Para(say("tag.up", day=say.day(tag.up_on))),
        Para(ready, bold=True),
        Para(tag.workshop, larger=-1.5),
    ]
    _plain(on, place, tag.frame, tag.code or tag.frame, paras, "skins on the frame")


def _number(on: Any, place: Box, label: FrameLabel) -> None:
    paras = [
        Para(label.words("tag.frame"), bold=True),
        *(Para(words) for words in (label.note, label.place) if words),
        Para(label.workshop, larger=-1.5),
    ]
    _plain(on, place, label.number, label.number, paras, "words about the frame")


def _plain(on: Any, place: Box, number: str, code: str, paras: list[Para], whole: str) -> None:
    """A tag without rings, tied on where the box has room for the hole."""
    if short.roomy(place, TAG):
        _words(on, _tied(on, place, number, "number", code=code), paras, whole)
    else:
        short.put(on, place, head=number, code=code, paras=paras, whole=whole)


def _words(on: Any, box: Box, paras: list[Para], whole: str) -> None:
    # A letter like J of the number hangs into the top of the words' column.
    _, box = box.cut_top(FIGURES * page.HANG * 0.7)
    stack.put(on, box, paras, size=10, smallest=LEAST, whole=whole)


def _tied(on: Any, place: Box, number: str, whole: str, key: str = "", code: str = "") -> Box:
    """The tie hole, the large number and its bars, the key of the holes beside them; returns what is left between them."""
    page.ring(on, place.x + _STRIP / 2, place.y + place.height / 2, TIE_RADIUS)
    _, inner = place.cut_left(_STRIP)
    inner = Box(inner.x, inner.y + _EDGE, inner.width - _EDGE, inner.height - 2 * _EDGE)
    figures, rest = inner.cut_top(FIGURES, gap=1 * mm)
    rest, foot = rest.cut_top(rest.height - _CODE - 1 * mm, gap=1 * mm)
    _, beside = foot.cut_left(foot.width - _PUNCHED + _SIGN)
    free = foot.width - beside.width if key else foot.width
    code = code or number
    if 0 < codes.taken(code) <= free:
        codes.bars(on, foot, code)
    else:
        figures = _coded(on, figures, code)
    page.tall(on, figures, number, whole=whole)
    if key:
        page.text(on, beside, key, size=_LEGEND, smallest=_LEGEND, middle=True)
    return rest


def _coded(on: Any, figures: Box, number: str) -> Box:
    """The number as a QR code at the right of its figures, down to the words below; what is left of the figures."""
    left = codes.corner(on, Box(figures.x, figures.y - mm, figures.width, figures.height + mm), number)
    return Box(figures.x, figures.y, left.width, figures.height)


def _holes(on: Any, box: Box, rows: tuple[punch.PunchRow, ...], words: Words) -> None:
    """The key along the top, then a row of rings for each sign; a place that stays whole is a dot."""
    x, y = box.x + _SIGN + HOLES_APART / 2, box.top - _KEY - ROWS_APART / 2
    places = [x + index * HOLES_APART for index in range(len(punch.WEIGHTS) + 2)]
    for place, key in zip(places, (words("tag.top"), *map(str, punch.WEIGHTS), words("tag.odd")), strict=True):
        label = Box(place - HOLES_APART / 2, box.top - _KEY, HOLES_APART, _KEY)
        page.text(
            on, label, key, size=_LEGEND, smallest=_LEGEND, whole="key of the holes", one_line=True, align="centre"
        )
    page.ring(on, places[0], y, HOLE_RADIUS)
    for index, row in enumerate(rows):
        level = y - index * ROWS_APART
        sign = Box(box.x, level - ROWS_APART / 2, _SIGN, ROWS_APART)
        page.text(on, sign, row.sign, size=8, smallest=5, bold=True, one_line=True, middle=True)
        for place, punched in zip(places[1:], (*row.holes, row.check), strict=True):
            if punched:
                page.ring(on, place, level, HOLE_RADIUS)
            else:
                on.circle(place, level, 0.3 * mm, stroke=0, fill=1)
