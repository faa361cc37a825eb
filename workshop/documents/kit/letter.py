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
from workshop.documents.words.rules import Words

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

    def lines(self, larger: float, words: Words) -> Story:
        numbers = ((words("kit.tax_number"), self.tax_number), (words("kit.business_number"), self.business_number))
        texts = (self.address, self.electronic, *(f"{label} {number}" for label, number in numbers if number))
        return [flow.words(self.name, size=flow.SIZE + larger, bold=True), *flow.paragraphs(texts, before=0)]


def head(title: str, seller: Party, buyer: Party, facts: Facts, *, to: str = "", words: Words = flow.ENGLISH) -> Any:
    """The seller and below the buyer on the left, the title and facts on the right; a fact without words is left out.

    `to` is what the buyer is to the paper; to whom it is billed where nothing is said.
    """
    left = seller.lines(2, words)
    if buyer:
        left += [flow.words(to or words("kit.bill_to"), before=4 * mm), *buyer.lines(1, words)]
    right = [flow.words(title, size=18, bold=True, after=1 * mm, level=1)]
    right += listed(facts)
    return flow.beside([left, right], (0.5, 0.5), gap=8 * mm)


def listed(facts: Facts, share: float = 0.36) -> Story:
    """Facts one under the other, `share` of the width for what each is; one without words is left out."""
    apart = [("BOTTOMPADDING", (0, 0), (-1, -1), 0.8 * mm)]
    return [
        flow.beside([[flow.words(label)], [flow.words(value, bold=True)]], (share, 1 - share), gap=2 * mm, lines=apart)
        for label, value in facts
        if value.strip()
    ]


def how_to_pay(how: str, words: Words) -> Story:
    """Where the money goes, then the maker's own terms of payment; nothing where nobody is told how to pay."""
    own = words.here("terms.payment").splitlines()
    texts = flow.paragraphs([how, *own])
    return [flow.words(words("kit.how_to_pay"), bold=True, before=6 * mm), *texts] if texts else []


def one_line(text: str) -> str:
    return tidy(text).replace("\n", ", ")
