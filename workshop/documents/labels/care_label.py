"""Owns the care label: a piece's name, what it is, how to keep it, who made it, on one face of any size.

A smaller label says less of the care, and always what must not be done. Must not read any record.
"""

from contextlib import suppress
from functools import partial
from typing import Any

from reportlab.lib.units import mm

from inventory.errors import Refused
from workshop.documents.kit import fonts, page, stack
from workshop.documents.kit.page import Box, Paper
from workshop.documents.kit.stack import Para, Stack
from workshop.documents.kit.text import Block, TextTooLong, fit
from workshop.documents.labels import care
from workshop.documents.labels.care import CareLabel

_BODY, _BODY_SMALLEST = 10.5, 6.5
_SMALL = 0.7  # of A6: below it the code stands beside the foot
_BESIDE_CODE = 0.62


def render(label: CareLabel, copies: int = 1, sheet: Paper | None = None) -> bytes:
    """The label as PDF: an A6 page a copy, or laid on `sheet` (A4 takes four) to cut apart."""
    title = f"Care label {label.article}"
    return page.cards(partial(draw, label=label), page.A6, copies=copies, sheet=sheet, title=title, author=label.brand)


def draw(on: Any, place: Box, label: CareLabel) -> None:
    """The label in a box of any size; refused where it has no room for what must be on it."""
    scale = min(1.0, place.width / page.A6.box.width, place.height / page.A6.box.height)
    gap = max(1 * mm, 2.5 * mm * scale)
    rest = _head(on, place.inset(max(2 * mm, 6 * mm * scale)), label, scale, gap)
    tall = 0.0 if scale < _SMALL else 9 * mm * scale
    wide, foot = _foot(label, rest, scale)
    words, below = rest.cut_top(rest.height - foot.height - tall - 2 * gap, gap=gap)
    stack.draw(on, words, care.fitted(label, words.width, words.height, size=_BODY, smallest=_BODY_SMALLEST))
    page.rule(on, below)
    _, below = below.cut_top(0, gap=gap)
    if tall:
        stack.draw(on, code(on, below, label.article, height=tall), foot)
        return
    said, beside = below.cut_left(wide, gap=page.QUIET)
    stack.draw(on, said, foot)
    if beside.width > 0:
        code(on, beside, label.article, height=beside.height)


def _head(on: Any, box: Box, label: CareLabel, scale: float, gap: float) -> Box:
    """Brand, name and facts; what is left below. On a small label the address alone names the workshop."""
    size = max(5.5, 9 * scale)
    if scale >= _SMALL:
        brand = stack.fit(
            [Para(label.brand, bold=True)],
            box.width,
            box.height / 8,
            size=size + 1,
            smallest=5,
            whole="workshop's name",
        )
        stack.draw(on, box, brand)
        _, box = box.cut_top(brand.height, gap=1 * mm)
    title = headline(label, box.width, box.height / 4, size=max(10.0, 21 * scale))
    page.put(on, box, title)
    _, box = box.cut_top(title.height, gap=gap / 3)
    facts = stack.fit(_facts(label), box.width, box.height / 3, size=size, smallest=4.75, whole="facts of the piece")
    stack.draw(on, box, facts)
    return box.cut_top(facts.height, gap=gap)[1]


def _foot(label: CareLabel, box: Box, scale: float) -> tuple[float, Stack]:
    """Numbers and who made it, and how wide they are set: on a small label beside the code, or alone where they are long."""
    size, small = max(5.0, 8.5 * scale), scale < _SMALL
    maker = label.brand if small else ", ".join(filter(None, (label.brand, label.maker)))
    made_by = label.words("care.made_by", maker=f"{maker}, {care.one_line(label.postal)}")
    said = (Para(care.numbers(label)), Para(made_by), Para(label.electronic))
    if small:
        with suppress(TextTooLong):
            wide = box.width * _BESIDE_CODE
            return wide, stack.fit(said, wide, box.height * 0.45, size=size, smallest=4.75, whole="maker's address")
    return box.width, stack.fit(said, box.width, box.height * 0.6, size=size, smallest=4.75, whole="maker's address")


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


def code(on: Any, box: Box, number: str, *, height: float) -> Box:
    """The number as bars along the top of the box where they have room; what is left of it. The number stands in words too."""
    strip, rest = box.cut_top(height, gap=1 * mm)
    if page.barcodable(number):
        with suppress(Refused):
            page.barcode(on, strip, number)
            return rest
    return box


def _facts(label: CareLabel) -> tuple[Para, ...]:
    words = label.words
    what = " · ".join(filter(None, (care.method_line(label, words), care.area_line(label, words))))
    return (
        Para(what),
        Para(care.species_line(label, words)),
        Para(care.second_facts(label), larger=-0.75),
        *(Para(text) for text in care.law_lines(label)),
    )
