"""Owns the top of the papers of selling: who writes to whom, what the paper is, its facts; and how the buyer pays. Must not know
what is sold.

Every text wraps; a number, a name or an address is never cut.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.units import mm

from workshop.documents.kit import flow, payment_code
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
        said = [flow.words(text, align="here") for text in texts if text.strip()]
        return [flow.words(self.name, size=flow.SIZE + larger, bold=True, align="here"), *said]


@dataclass(frozen=True)
class Payment:
    """Where a balance is to be paid: numbers as they are read out; `code` is the text of a banking app's code, `terms` are the
    maker's own words. `settled`: something else has paid it since, so none of this is said."""

    name: str = ""
    iban: str = ""
    bic: str = ""
    reference: str = ""
    code: str = ""
    terms: str = ""
    settled: bool = False


UNASKED = Payment()


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


def how_to_pay(asked: Payment, words: Words) -> Story:
    """The maker's own words and terms, then where the money goes, the code beside it; nothing where nobody is told how to pay."""
    facts = [
        (words("invoice.pay_to"), asked.name),
        ("IBAN", asked.iban),
        ("BIC", asked.bic),
        (words("invoice.payment_reference"), asked.reference),
    ]
    rows = listed(facts)
    own = flow.paragraphs([asked.terms, *words.here("terms.payment").splitlines()], before=0)
    told = [*own, *([flow.space(1 * mm)] if own and rows else []), *rows]
    if not told:
        return []
    left = [flow.words(words("kit.how_to_pay"), bold=True, after=1 * mm), *told]
    if not asked.code:
        return [flow.space(6 * mm), flow.together(*left)]
    code = [payment_code.square(asked.code), flow.words(words("invoice.scan"), size=flow.SMALL)]
    return [flow.space(6 * mm), flow.beside([left, code], (0.72, 0.28), gap=6 * mm)]


def one_line(text: str) -> str:
    return tidy(text).replace("\n", ", ")
