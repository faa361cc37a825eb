"""Owns the stand-in sheet: what somebody else must know to look after the tubs, on one page by the shed's door.

Who is in what, what comes next, what hurts. Must not plan a step. Words are never cut: the sheet gets smaller type, and only
where the smallest that can be read does not hold it all, a second page.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.units import mm

from workshop.documents.kit import counting, flow
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.text import STEP, TextTooLong
from workshop.documents.words.rules import Words

LARGEST, SMALLEST = 11.0, 7.0
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
class StandInSheet:
    """The sheet for a day. `contacts` are names with numbers; may be empty, and the sheet leaves a line."""

    workshop: str
    printed_on: date
    tubs: tuple[Tub, ...]
    contacts: tuple[str, ...] = ()
    words: Words = Words()


def render(sheet: StandInSheet, size: Paper = A4) -> bytes:
    """The sheet as PDF: one page at the largest type that holds it all; the fewest pages where one is too small."""
    if _pages(sheet, size, LARGEST) == 1:
        return flow.document(_story(sheet, LARGEST), size, **_named(sheet))
    sizes = [LARGEST - STEP * at for at in range(int((LARGEST - SMALLEST) / STEP) + 1)]
    best = sizes.pop()
    fewest = _pages(sheet, size, best)
    while sizes:
        # Larger type never takes fewer pages, so half of the sizes are settled by one of them.
        middle = len(sizes) // 2
        if _pages(sheet, size, sizes[middle]) <= fewest:
            best, sizes = sizes[middle], sizes[:middle]
        else:
            sizes = sizes[middle + 1 :]
    return flow.document(_story(sheet, best), size, **_named(sheet))


def _pages(sheet: StandInSheet, paper: Paper, size: float) -> float:
    """How many pages it takes at a size; without end where a tub has more words than a page."""
    try:
        return counting.pages(_story(sheet, size), paper, **_named(sheet))
    except TextTooLong:
        return math.inf


def _story(sheet: StandInSheet, size: float) -> flow.Story:
    tubs = [_tub(tub, size, sheet.words) for tub in sheet.tubs]
    nothing = flow.words(sheet.words("stand_in.nothing"), size=size + 2, bold=True, before=_PAD)
    return [*_head(sheet, size), *(tubs or [nothing])]


def _named(sheet: StandInSheet) -> dict[str, Any]:
    words = sheet.words
    return {
        "title": words("stand_in.title"),
        "author": sheet.workshop,
        "foot": f"{sheet.workshop} · {words('stand_in.printed', day=words.day(sheet.printed_on))}",
        "day": sheet.printed_on,
        "whole": "sheet of steps and cautions",
        "words": words,
    }


def _head(sheet: StandInSheet, size: float) -> flow.Story:
    words = sheet.words
    ask = words("stand_in.ask", names=" · ".join(sheet.contacts)) if sheet.contacts else words("stand_in.nobody")
    framed = [flow.words(ask, size=size + 1, bold=True), flow.words(words("stand_in.take_care"), size=size, before=2)]
    sides = (f"{side}PADDING" for side in ("TOP", "BOTTOM", "LEFT", "RIGHT"))
    lines = [*((side, (0, 0), (-1, -1), _PAD) for side in sides), ("BOX", (0, 0), (-1, -1), 1.4, black)]
    return [
        flow.words(sheet.workshop, size=size),
        flow.words(words("stand_in.heading"), size=size + 9, bold=True, level=1),
        flow.space(_PAD),
        flow.beside([framed], [1], lines=lines),
        flow.space(2 * _PAD),
    ]


def _tub(tub: Tub, size: float, words: Words) -> Any:
    inside = [
        flow.words(tub.place, size=size + 5, bold=True, level=2),
        flow.words(words("stand_in.batch", batch=tub.batch), size=size, bold=True),
        *_lines([words("stand_in.recipe", recipe=tub.recipe) if tub.recipe else ""], size),
        *_lines(
            [words("stand_in.skins", skins=", ".join(tub.skins)) if tub.skins else words("stand_in.no_skin")], size
        ),
        *_lines([words("stand_in.at_risk", amount=tub.risk) if tub.risk else ""], size),
    ]
    steps = [_step(f"{words.weekday(when)}: {step}", size) for when, step in tub.next_steps]
    columns = [
        inside,
        [
            flow.words(words("stand_in.next"), size=size, bold=True, level=3),
            *(steps or _lines([words("stand_in.look")], size)),
        ],
        [
            flow.words(words("stand_in.hazards"), size=size, bold=True, level=3),
            *_lines(tub.cautions or [words("stand_in.unknown")], size),
        ],
    ]
    lines = [
        ("LINEABOVE", (0, 0), (-1, 0), 1.2, black),
        ("TOPPADDING", (0, 0), (-1, -1), _PAD),
        ("BOTTOMPADDING", (0, 0), (-1, -1), _PAD),
    ]
    return flow.beside(columns, (26, 34, 46), lines=lines)


def _lines(texts: Iterable[str], size: float) -> flow.Story:
    return [flow.words(text, size=size, before=2) for text in texts if text]


def _step(text: str, size: float) -> Any:
    """A step with its square to tick."""
    apart = [("TOPPADDING", (0, 0), (-1, -1), 2)]
    return flow.beside([[flow.tick(side=size)], [flow.words(text, size=size)]], (1, 7), gap=0, lines=apart)
