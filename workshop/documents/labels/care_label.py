"""Owns the care label: a piece's name, what it is, how to keep it, who made it, on one face of any size.

A smaller label says less of the care, and always what must not be done. Must not read any record.
"""

from functools import partial
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import cards, codes, page, stack
from workshop.documents.kit.cards import Card
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.stack import Para, Stack
from workshop.documents.kit.text import LEAST, Block, fit
from workshop.documents.labels import care
from workshop.documents.labels.care import CareLabel
from workshop.documents.type import fonts

_BODY, _BODY_SMALLEST = 10.5, 6.5
_SMALL = 0.7  # of A6: below it the code stands in the corner, beside the name, as one does whose bars are too long


def render(label: CareLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The label as PDF: an A6 page a copy, or laid on `sheet` (A4 takes four) to cut apart."""
    return cards.render(card(label), copies, sheet)


def card(label: CareLabel) -> Card:
    return Card(
        partial(draw, label=label), (page.A6,), label.words("care.label_numbered", article=label.article), label.brand
    )


def draw(on: Any, place: Box, label: CareLabel) -> None:
    """The label in a box of any size; refused where it has no room for what must be on it."""
    scale = min(1.0, place.width / page.A6.box.width, place.height / page.A6.box.height)
    gap = max(1 * mm, 2.5 * mm * scale)
    inner = place.inset(max(2 * mm, 6 * mm * scale))
    small = scale < _SMALL
    bars = not small and 0 < codes.taken(label.article) <= inner.width
    rest = _head(on, inner if bars else codes.corner(on, inner, label.article), label, scale, gap)
    if not bars:
        under_code = inner.top - codes.side(label.article) - gap
        rest = Box(inner.x, inner.y, inner.width, min(rest.top, under_code) - inner.y)
    foot = _foot(label, rest, scale)
    tall = 9 * mm * scale if bars else 0.0
    words, below = rest.cut_top(rest.height - foot.height - tall - 2 * gap, gap=gap)
    stack.draw(on, words, care.fitted(label, words.width, words.height, size=_BODY, smallest=_BODY_SMALLEST))
    page.rule(on, below)
    _, below = below.cut_top(0, gap=gap)
    stack.draw(on, codes.beside(on, below, label.article, height=tall) if bars else below, foot)


def _head(on: Any, box: Box, label: CareLabel, scale: float, gap: float) -> Box:
    """Brand, name and facts; what is left below. On a small label the address alone names the workshop."""
    size = max(5.5, 9 * scale)
    if scale >= _SMALL:
        brand = stack.fit(
            (Para(label.brand, bold=True),),
            box.width,
            box.height / 8,
            size=size + 1,
            smallest=5,
            whole="workshop's name",
        )
        stack.draw(on, box, brand)
        _, box = box.cut_top(brand.height, gap=1 * mm)
    title = headline(label, box.width, box.height / (4 if scale >= _SMALL else 3), size=max(10.0, 21 * scale))
    page.put(on, box, title)
    _, box = box.cut_top(title.height, gap=gap / 3)
    facts = stack.fit(_facts(label), box.width, box.height / 3, size=size, smallest=LEAST, whole="facts of the piece")
    stack.draw(on, box, facts)
    return box.cut_top(facts.height, gap=gap)[1]


def _foot(label: CareLabel, box: Box, scale: float) -> Stack:
    """Numbers and who made it; a small label names the workshop alone."""
    maker = label.brand if scale < _SMALL else ", ".join(filter(None, (label.brand, label.maker)))
    made_by = label.words("care.made_by", maker=f"{maker}, {care.one_line(label.postal)}")
    said = (Para(care.numbers(label)), Para(made_by), Para(label.electronic))
    size = max(5.0, 8.5 * scale)
    return stack.fit(said, box.width, box.height * 0.6, size=size, smallest=LEAST, whole="maker's address")


def headline(label: CareLabel, width: float, height: float, *, size: float) -> Block:
    """The piece's name in the type of headlines, made smaller and wrapped where it is long; never cut."""
    return fit(
        label.headline,
        width=width,
        height=height,
        font=fonts.headline(label.headline),
        size=size,
        smallest=min(size, 6.5),
        whole="name of the piece",
    )


def _facts(label: CareLabel) -> tuple[Para, ...]:
    words = label.words
    what = " · ".join(filter(None, (care.method_line(label, words), care.area_line(label, words))))
    return (
        Para(what),
        Para(care.species_line(label, words)),
        Para(care.second_facts(label), larger=-0.75),
        *(Para(text) for text in care.law_lines(label)),
    )
