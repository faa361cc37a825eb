"""Owns the stocktake sheet: what is to be counted and where it is kept, and a place to write. It shows no figure of the books,

so that who counts is not led by it. Must not know what is there.
"""

from dataclasses import dataclass
from datetime import date

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table
from workshop.documents.words.rules import Words

FREE_LINES = 3


@dataclass(frozen=True)
class StocktakeItem:
    """A thing to count: its code or number, its name, the unit it is kept in; without one it is there or not, such as a skin."""

    code: str
    description: str
    unit: str = ""


@dataclass(frozen=True)
class StocktakeSheet:
    """(place, what is kept there) in order; the place may be empty."""

    workshop: str
    printed_on: date
    places: tuple[tuple[str, tuple[StocktakeItem, ...]], ...]
    words: Words = Words()


def _measured(words: Words) -> list[Column[StocktakeItem]]:
    return [
        Column(words("stocktake.code"), 26, lambda item: item.code, code=True),
        Column(words("stocktake.description"), 66, lambda item: item.description),
        Column(words("stocktake.unit"), 18, lambda item: item.unit),
        Column(words("stocktake.counted"), 34, write=True),
        Column(words("stocktake.remark"), 38, write=True),
    ]


def _ticked(words: Words) -> list[Column[StocktakeItem]]:
    return [
        Column(words("stocktake.present"), 14, tick=True),
        Column(words("kit.number"), 30, lambda item: item.code, code=True),
        Column(words("stocktake.description"), 88, lambda item: item.description),
        Column(words("stocktake.remark"), 50, write=True),
    ]


def render(sheet: StocktakeSheet, size: Paper = A4) -> bytes:
    """The sheet as PDF, a table for each place."""
    words = sheet.words
    title, printed = words("stocktake.title"), words.day(sheet.printed_on)
    story = [
        letter.head(title, Party(sheet.workshop), Party(), [(words("stocktake.printed"), printed)], words=words),
        flow.blanks(words("stocktake.counted_by"), words("kit.date")),
        flow.words(words("stocktake.how"), before=2 * mm),
    ]
    for place, items in sheet.places:
        story += _place(place or words("stocktake.no_place"), items, words)
    if not sheet.places:
        story.append(flow.words(words("stocktake.nothing"), bold=True, before=3 * mm))
    found = Table(_measured(words), [StocktakeItem("", "")] * FREE_LINES, title=words("stocktake.found"))
    story.append(flow.together(found))
    foot = f"{sheet.workshop} · {title} · {words('stocktake.printed_on', day=printed)}"
    return flow.document(story, size, title=title, author=sheet.workshop, foot=foot, day=sheet.printed_on, words=words)


def _place(place: str, items: tuple[StocktakeItem, ...], words: Words) -> flow.Story:
    measured, ticked = ([item for item in items if bool(item.unit) is has_unit] for has_unit in (True, False))
    tables = [Table(_measured(words), measured, title=place)] if measured else []
    return [*tables, *([Table(_ticked(words), ticked, title="" if tables else place)] if ticked else [])]
