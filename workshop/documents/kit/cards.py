"""Owns a run of labels: which sheet they go on, where the first one goes, a page each where there is no sheet.

Must not know what a label says. A label that has no room on the sheet asked for is refused; none is ever cut.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import islice
from typing import Any

from reportlab.lib.units import mm

from inventory.base.labels.lengths import MM, Ruler
from inventory.base.labels.rules import Sheet
from inventory.errors import Refused
from workshop.documents.kit import page
from workshop.documents.kit.page import UNPRINTED, Box, Paper
from workshop.documents.kit.text import TextTooLong

MOST = 3000  # labels in a run
Draw = Callable[[Any, Box], None]
Say = Callable[[int, int], None]


@dataclass(frozen=True)
class Card:
    """A label: `draw` fits any box or refuses (TextTooLong), `sizes` are its own, the smallest first."""

    draw: Draw
    sizes: Sequence[Paper]
    title: str
    author: str


@dataclass(frozen=True)
class Layout:
    """A page and its places in reading order; `cut`: with hairlines to cut along; `size` of a label in words, where it was not
    ours to choose."""

    paper: Paper
    places: tuple[Box, ...]
    cut: bool = False
    size: str = ""


def on_sheet(sheet: Sheet, ruler: Ruler = MM) -> Layout:
    """The places of a sheet of labels. `ruler`: what a refusal tells their size by."""
    wide, tall = map(float, sheet.size)
    paper, width, height = Paper(wide, tall), float(sheet.width) * mm, float(sheet.height) * mm
    places = ((float(left) * mm, (tall - float(top)) * mm - height) for left, top in sheet.places())
    size = ruler.told(sheet.width, sheet.height)
    return Layout(paper, tuple(Box(x, y, width, height) for x, y in places), size=size)


def apart(paper: Paper, card: Paper) -> Layout:
    """Places for as many cards as a paper takes, upright or lying, centred, to be cut apart."""
    sheet = max((paper, paper.turned()), key=lambda one: len(slots(one, card)))
    return Layout(sheet, tuple(slots(sheet, card)), cut=True)


def slots(sheet: Paper, card: Paper) -> list[Box]:
    """Places for as many cards as the sheet takes, centred, in reading order."""
    across, down = int(sheet.width_mm // card.width_mm), int(sheet.height_mm // card.height_mm)
    left = (sheet.width_mm - across * card.width_mm) / 2
    top = sheet.height_mm - (sheet.height_mm - down * card.height_mm) / 2
    width, height = card.size
    return [
        Box((left + column * card.width_mm) * mm, (top - (row + 1) * card.height_mm) * mm, width, height)
        for row in range(down)
        for column in range(across)
    ]


def own_size(card: Card) -> Paper:
    """The smallest of its sizes that holds its words; refused where the last does not."""
    for size in card.sizes[:-1]:
        try:
            card.draw(page.canvas(BytesIO(), size, "", ""), size.box)
        except TextTooLong:
            continue
        return size
    return card.sizes[-1]


def render(card: Card, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """One label as PDF, a page a copy, or laid on a paper to cut apart."""
    return run([card], copies=copies, layout=apart(sheet, own_size(card)) if sheet else None)


def apart_for(paper: Paper, cards: Iterable[Card]) -> Layout:
    """A paper for cards of which each has its own size: places as large as the largest."""
    sizes = {own_size(card) for card in cards}
    wide, tall = max(size.width_mm for size in sizes), max(size.height_mm for size in sizes)
    return apart(paper, Paper(wide, tall))


def counted(labels: int, copies: int) -> int:
    """How many labels a run has."""
    if copies < 1 or labels * copies > MOST:
        asked = copies if copies < 1 else labels * copies
        what = "copies" if copies < 1 else "labels"
        raise Refused(f"{asked} {what} were asked for. Ask for 1 to {MOST} labels in a run.", field="copies")
    return labels * copies


def pages(labels: int, layout: Layout | None, start: int = 1) -> int:
    """How many sheets a run takes, its first label at place `start`."""
    places = len(layout.places) if layout else 1
    if not 1 <= start <= places:
        there = f"This sheet has {places} labels" if layout else "Labels without a sheet are a page each"
        raise Refused(f"{there}, so none can begin at {start}. Begin at 1 to {places}.", field="start")
    return -(-(start - 1 + labels) // places)


def run(
    cards: Sequence[Card],
    *,
    copies: int = 1,
    layout: Layout | None = None,
    start: int = 1,
    title: str = "",
    language: str = "en",
    say: Say | None = None,
) -> bytes:
    """A PDF of so many copies of each label in turn. `say` is told after each page how many are done, and of how many."""
    total = pages(counted(len(cards), copies), layout, start)
    if not cards:
        raise Refused("No label was asked for. Name what each is of.", field="name")
    each = (card for card in cards for _ in range(copies))
    buffer = BytesIO()
    first = cards[0]
    size = layout.paper if layout else first.sizes[0]
    on = page.canvas(buffer, size, title or first.title, first.author, language=language)
    for done in range(total):
        if layout is None:
            card = next(each)
            size = own_size(card)
            on.setPageSize(size.size)
            with on.within("Sect"):
                card.draw(on, size.box)
        else:
            free = layout.places[start - 1 :] if done == 0 else layout.places
            _fill(on, layout, zip(free, islice(each, len(free)), strict=False))
        on.showPage()
        if say:
            say(done + 1, total)
    on.save()
    return buffer.getvalue()


def _fill(on: Any, layout: Layout, placed: Iterator[tuple[Box, Card]]) -> None:
    inside = layout.paper.box.inset(UNPRINTED)
    for place, card in placed:
        if layout.cut:
            _cut_lines(on, place, inside)
        with on.within("Sect"):
            if layout.cut:
                card.draw(on, place)
            else:
                _on_label(on, place, card, layout.size)


def _on_label(on: Any, place: Box, card: Card, size: str) -> None:
    """On a label whose size was not ours to choose."""
    try:
        card.draw(on, place)
    except TextTooLong as fault:
        shown = f" “{fault.text}”" if 0 < len(fault.text) <= 80 else ""
        raise Refused(
            f"{card.title} does not fit on a label of {size}: there is no room for the {fault.what}{shown} at a size that "
            "can be read. Choose a larger label, or shorten it.",
            field="sheet",
        ) from None


def _cut_lines(on: Any, card: Box, inside: Box) -> None:
    """A hairline round the card, but not where the paper's own edge does the cutting."""
    on.setLineWidth(0.25)
    left, right = max(card.x, inside.x), min(card.right, inside.right)
    bottom, top = max(card.y, inside.y), min(card.top, inside.top)
    for x in sorted({card.x, card.right} & {left, right}):
        on.line(x, bottom, x, top)
    for y in sorted({card.y, card.top} & {bottom, top}):
        on.line(left, y, right, y)
