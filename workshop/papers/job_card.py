"""Owns the job card: a customer's skin as it came, what is agreed on it, and both names under it.

The terms are the maker's own words and no legal advice; local law goes before them. Must not work out a price.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.papers import fonts, letter, wording
from workshop.papers.flow import Piece, document, room
from workshop.papers.kit import A4, Paper
from workshop.papers.letter import Who
from workshop.papers.stack import Para

RISK = (
    "A raw skin can carry faults that only show in the bath: the hair may slip, the skin may tear or come out stiff, though"
    " everything was done as usual. I look at it with you before I begin, stop and tell you as soon as I see such a fault, and"
    " promise the work, not the skin."
)


NO_STORAGE = "I tell you when it is ready. Please come for it soon: there is little room here."


LAW_FIRST = "Where your law gives you more than these words, the law counts."


@dataclass(frozen=True)
class JobCard:
    """One job. `paid` of the deposit so far; `terms` are the maker's own words; `photos` how many were kept on arrival."""

    workshop: Who
    customer: Who
    number: str
    taken_on: date
    tag: str
    skin: str
    work: str
    condition: str
    price: Decimal
    deposit: Decimal
    paid: Decimal
    currency: str
    ready_by: date | None = None
    photos: int = 0
    terms: tuple[str, ...] = (RISK, NO_STORAGE)
    cautions: tuple[str, ...] = ()
    note: str = ""
    digits: int = 2


def storage(free_days: int, per_day: Decimal, currency: str, digits: int = 2) -> str:
    """What it costs to leave a finished skin here, in words.

    >>> storage(30, Decimal("1.00"), "EUR")
    'I tell you when it is ready. From that day it lies here free for 30 days; after that it costs 1.00 EUR a day.'
    """
    if not per_day:
        return NO_STORAGE
    free = f"free for {free_days} days; after that it" if free_days else "at your cost: it"
    return (
        f"I tell you when it is ready. From that day it lies here {free} costs {wording.number(per_day, digits)} {currency}"
        " a day."
    )


def render(card: JobCard, size: Paper = A4) -> bytes:
    """The card as PDF."""
    fonts.register()
    width = room(size).width
    facts = [
        ("Job", card.number),
        ("Skin", f"{card.tag} {card.skin}".strip()),
        ("Taken on", wording.day(card.taken_on)),
        ("Ready by", wording.day(card.ready_by) if card.ready_by else "not agreed"),
    ]
    photos = f" {card.photos} photo{'' if card.photos == 1 else 's'} of it kept." if card.photos else ""
    agreed = [
        (f"Price, {card.currency}", _money(card, card.price)),
        (f"Deposit before the work, {card.currency}", _money(card, card.deposit)),
        (f"Paid so far, {card.currency}", _money(card, card.paid)),
        (f"Left when it is handed over, {card.currency}", _money(card, card.price - card.paid)),
    ]
    pieces = [
        letter.head("Job card", card.workshop, card.customer, facts, width, to="Customer"),
        *_part("As it came", [(card.condition or "Nothing was written down.") + photos], width),
        *([] if card.condition else [_ruled(), _ruled()]),
        *_part("The work", [card.work, card.note], width),
        *letter.sums(agreed, gap=2 * mm),
        *(_part("What can hurt", list(card.cautions), width) if card.cautions else []),
        *letter.signed(
            _part("Our terms", [*card.terms, LAW_FIRST], width),
            letter.lines_to_write(("For the workshop", "Day", "The customer", "Day"), tall=20 * mm),
            letter.lines_to_write(("Handed over to", "Day"), tall=16 * mm),
        ),
    ]
    foot = f"{card.workshop.name} · job {card.number} · {card.tag}"
    return document(pieces, size, title=f"Job card {card.number}", author=card.workshop.name, foot=foot)


def _part(title: str, said: list[str], width: float) -> list[Piece]:
    made = letter.words([Para(words, before=2) for words in said], width, before=0)
    return [letter.heading(title, follows=made[0].height if made else 0), *made]


def _ruled() -> Piece:
    return letter.lines_to_write(("",), tall=9 * mm)


def _money(card: JobCard, value: Decimal) -> str:
    return wording.number(value, card.digits)
