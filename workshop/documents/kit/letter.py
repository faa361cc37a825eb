"""Owns the top of the papers of selling: who writes to whom, what the paper is, its facts. Must not know what is sold.

Every text wraps; a number, a name or an address is never cut.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import flow
from workshop.documents.kit.flow import Story
from workshop.documents.kit.text import tidy

Facts = Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Party:
    """Seller or buyer as the paper names them; what is empty is left out."""

    name: str = ""
    address: str = ""
    electronic: str = ""
    tax_number: str = ""
    business_number: str = ""

    def __bool__(self) -> bool:
        return bool(self.name or self.address or self.electronic)

    def lines(self, larger: float) -> Story:
        numbers = (("Tax number", self.tax_number), ("Business number", self.business_number))
        texts = (self.address, self.electronic, *(f"{label} {number}" for label, number in numbers if number))
        return [flow.words(self.name, size=flow.SIZE + larger, bold=True), *flow.paragraphs(texts, before=0)]


def head(title: str, seller: Party, buyer: Party, facts: Facts, *, to: str = "Bill to") -> Any:
    """The seller and below the buyer on the left, the title and facts on the right; a fact without words is left out."""
    left = seller.lines(2)
    if buyer:
        left += [flow.words(to, before=4 * mm), *buyer.lines(1)]
    right = [flow.words(title, size=18, bold=True, after=1 * mm)]
    apart = [("BOTTOMPADDING", (0, 0), (-1, -1), 0.8 * mm)]
    right += [
        flow.beside([[flow.words(label)], [flow.words(value, bold=True)]], (0.36, 0.64), gap=2 * mm, lines=apart)
        for label, value in facts
        if value.strip()
    ]
    return flow.beside([left, right], (0.5, 0.5), gap=8 * mm)


def one_line(text: str) -> str:
    return tidy(text).replace("\n", ", ")
