"""Owns what the papers of selling share: who writes to whom, what the paper is, its facts, words under it, places to sign.

Must not know what is sold. Every text wraps; a number, a name or an address is never cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from reportlab.lib.units import mm

from workshop.papers import fonts, kit, stack
from workshop.papers.flow import Piece
from workshop.papers.kit import Box
from workshop.papers.stack import Para
from workshop.papers.table import figure
from workshop.papers.text import Block, fit, tidy

SIZE = 9.0


_LABELS = 0.36


_GAP = 8 * mm


_LINES = 4


Facts = Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Who:
    """Seller or buyer as the paper names them; what is empty is left out."""

    name: str = ""
    address: str = ""
    electronic: str = ""
    tax_number: str = ""
    business_number: str = ""

    def __bool__(self) -> bool:
        return bool(self.name or self.address or self.electronic)

    def paras(self, *, larger: float = 2) -> list[Para]:
        return [
            Para(self.name, bold=True, larger=larger),
            Para(self.address),
            Para(self.electronic),
            Para(f"Tax number {self.tax_number}" if self.tax_number else ""),
            Para(f"Business number {self.business_number}" if self.business_number else ""),
        ]


def head(title: str, seller: Who, buyer: Who, facts: Facts, width: float, *, to: str = "To") -> Piece:
    """The top of a paper: the seller and below the buyer on the left, what it is and its facts on the right."""
    left, right = (box.width for box in Box(0, 0, width, 0).columns((0.5, 0.5), _GAP))
    who = stack.at([*seller.paras(), *([Para(to, before=12), *buyer.paras(larger=1)] if buyer else [])], left, SIZE)
    what = fit(title, width=right, height=24 * mm, font=fonts.BOLD, size=18, smallest=9, whole="title")
    told = _facts(facts, right)
    height = max(who.height, what.height + 2 * mm + sum(tall for _, _, tall in told)) + 6 * mm

    def draw(on: Any, box: Box) -> None:
        columns = box.columns((0.5, 0.5), _GAP)
        stack.draw(on, columns[0], who)
        kit.put(on, columns[1], what)
        _, rest = columns[1].cut_top(what.height, gap=2 * mm)
        _draw_facts(on, rest, told)

    return Piece(height, draw)


def _facts(facts: Facts, width: float) -> list[tuple[Block, Block, float]]:
    fonts.register()
    found = []
    for label, value in facts:
        if not value.strip():
            continue
        room = _LINES * SIZE * 1.25 if len(value) < 120 else 40 * mm
        name = fit(label, width=width * _LABELS - 2 * mm, height=2 * SIZE * 1.25, size=SIZE, smallest=6)
        said = fit(
            value, width=width * (1 - _LABELS), height=room, font=fonts.BOLD, size=SIZE, smallest=5, whole=label.lower()
        )
        found.append((name, said, max(name.height, said.height) + 0.8 * mm))
    return found


def _draw_facts(on: Any, box: Box, told: Sequence[tuple[Block, Block, float]]) -> None:
    for name, said, tall in told:
        line, box = box.cut_top(tall)
        labels, values = line.cut_left(line.width * _LABELS)
        kit.put(on, labels, name)
        kit.put(on, values, said)


def words(paras: Sequence[Para], width: float, *, size: float = SIZE, before: float = 3 * mm) -> list[Piece]:
    """Paragraphs, each a piece of its own so that a page may end between them."""
    made = []
    for index, para in enumerate(para for para in paras if para.words.strip()):
        said = stack.at([para], width, size)
        gap = before if index == 0 else 0.0

        def draw(on: Any, box: Box, said: stack.Stack = said, gap: float = gap) -> None:
            _, rest = box.cut_top(0, gap=gap)
            stack.draw(on, rest, said)

        made.append(Piece(said.height + gap, draw))
    return made


def heading(title: str, follows: float = 0) -> Piece:
    def draw(on: Any, box: Box) -> None:
        _, place = box.cut_top(0, gap=5 * mm)
        kit.text(on, place, title, size=12, smallest=8, bold=True, middle=True, one_line=True)

    return Piece(12 * mm, draw, follows=follows)


def sums(rows: Sequence[tuple[str, str]], *, bold: bool = True, gap: float = 0.0) -> list[Piece]:
    """Lines at the right: words and a figure. The last one is bold, under a line."""
    made = []
    for index, (said, amount) in enumerate(rows):
        strong = bold and index == len(rows) - 1
        first = gap if index == 0 else 0.0

        def draw(
            on: Any, box: Box, said: str = said, amount: str = amount, strong: bool = strong, first: float = first
        ) -> None:
            _, rest = box.cut_top(0, gap=first)
            _, line = rest.cut_left(rest.width * 0.4)
            label, value = line.cut_left(line.width * 0.68, gap=2 * mm)
            size = SIZE + 2 if strong else SIZE
            if strong:
                kit.rule(on, line, 0.8)
            top = 1.4 * mm if strong else 0.5 * mm
            kit.text(on, _lowered(label, top), said, size=size, smallest=6, bold=strong, one_line=True)
            figure(on, _lowered(value, top), amount, size=size, bold=strong)

        made.append(Piece((7 * mm if strong else 4.8 * mm) + first, draw))
    return made


def _lowered(box: Box, by: float) -> Box:
    return box.cut_top(0, gap=by)[1]


def lines_to_write(labels: Sequence[str], *, tall: float = 13 * mm) -> Piece:
    """Places to write or sign, side by side, what goes there in small words under the line."""

    def draw(on: Any, box: Box) -> None:
        for place, label in zip(box.columns([1] * len(labels), 8 * mm), labels, strict=True):
            on.setLineWidth(0.6)
            y = box.y + 4.2 * mm
            on.line(place.x, y, place.right, y)
            low = Box(place.x, box.y, place.width, 3.8 * mm)
            kit.text(on, low, label, size=7.5, smallest=5, one_line=True)

    return Piece(tall, draw)


def signed(pieces: Sequence[Piece], *places: Piece) -> list[Piece]:
    """The pieces and the places to sign under them, which never stand on a page without the last piece."""
    tall = sum(place.height for place in places)
    return [*pieces[:-1], replace(pieces[-1], follows=pieces[-1].follows + tall), *places]


def said(text: str) -> str:
    return tidy(text).replace("\n", ", ")
