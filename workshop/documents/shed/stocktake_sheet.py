"""Owns the stocktake sheet: what is to be counted and where it is kept, and a place to write. It shows no figure of the books,

so that who counts is not led by it. Must not know what is there.
"""

from dataclasses import dataclass
from datetime import date

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table

HOW = (
    "Count or weigh what is really there, place by place, and write it with its unit. Nothing there is 0; leave open what"
    " you did not count. Look for what has no line, too."
)

FREE_LINES = 3
NO_PLACE = "No location"


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


_MEASURED: list[Column[StocktakeItem]] = [
    Column("Code", 26, lambda item: item.code, code=True),
    Column("Description", 66, lambda item: item.description),
    Column("Unit", 18, lambda item: item.unit),
    Column("Counted", 34, write=True),
    Column("Remark", 38, write=True),
]

_TICKED: list[Column[StocktakeItem]] = [
    Column("Present", 14, tick=True),
    Column("Number", 30, lambda item: item.code, code=True),
    Column("Description", 88, lambda item: item.description),
    Column("Remark", 50, write=True),
]


def render(sheet: StocktakeSheet, size: Paper = A4) -> bytes:
    """The sheet as PDF, a table for each place."""
    story = [
        letter.head("Stocktake sheet", Party(sheet.workshop), Party(), [("Printed", wording.day(sheet.printed_on))]),
        flow.blanks("Counted by", "Date"),
        flow.words(HOW, before=2 * mm),
    ]
    for place, items in sheet.places:
        story += _place(place or NO_PLACE, items)
    if not sheet.places:
        story.append(flow.words("Nothing is on the list yet.", bold=True, before=3 * mm))
    story.append(flow.together(Table(_MEASURED, [StocktakeItem("", "")] * FREE_LINES, title="Found, not listed")))
    foot = f"{sheet.workshop} · stocktake sheet · printed {wording.day(sheet.printed_on)}"
    return flow.document(story, size, title="Stocktake sheet", author=sheet.workshop, foot=foot, day=sheet.printed_on)


def _place(place: str, items: tuple[StocktakeItem, ...]) -> flow.Story:
    measured, ticked = ([item for item in items if bool(item.unit) is has_unit] for has_unit in (True, False))
    tables = [Table(_MEASURED, measured, title=place)] if measured else []
    return [*tables, *([Table(_TICKED, ticked, title="" if tables else place)] if ticked else [])]
