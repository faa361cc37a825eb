"""Owns the job card: a customer's skin as it came, what is agreed on it, and both names under it.

The terms are the maker's own words and no legal advice; local law goes before them. Must not work out a price.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from inventory import money as moneys
from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper

RISK = (
    "A raw skin can carry faults that only show in the bath: the hair may slip, the skin may tear or come out stiff, though"
    " everything was done as usual. I look at it with you before I begin, stop and tell you as soon as I see such a fault, and"
    " promise the work, not the skin."
)

NO_STORAGE = "I tell you when it is ready. Please come for it soon: there is little room here."
LAW_FIRST = "Where your law gives you more than these words, the law counts."


@dataclass(frozen=True)
class JobCard:
    """One job. `tax` comes on top of the price; `paid` of the deposit so far.

    `terms` are the maker's own words; `photos` how many were kept on arrival."""

    workshop: Party
    customer: Party
    number: str
    received_on: date
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
    tax: Decimal = Decimal(0)


def storage(free_days: int, per_day: Decimal, currency: str) -> str:
    """What it costs to leave a finished skin here, in words.

    >>> storage(30, Decimal("1.00"), "EUR")
    'I tell you when it is ready. From that day it lies here free for 30 days; after that it costs 1.00\xa0€ a day.'
    """
    if not per_day:
        return NO_STORAGE
    free = f"free for {free_days} days; after that it" if free_days else "at your cost: it"
    return (
        f"I tell you when it is ready. From that day it lies here {free} costs {moneys.show(per_day, currency)} a day."
    )


def render(card: JobCard, size: Paper = A4) -> bytes:
    """The card as PDF."""
    facts = [
        ("Job", card.number),
        ("Skin", f"{card.tag} {card.skin}".strip()),
        ("Received on", wording.day(card.received_on)),
        ("Ready by", wording.day(card.ready_by) if card.ready_by else "not agreed"),
    ]
    photos = f" {card.photos} photo{'' if card.photos == 1 else 's'} of it kept." if card.photos else ""
    condition = [flow.words((card.condition or "Nothing was written down.") + photos)]
    to_write = [] if card.condition else [flow.line(), flow.line()]
    agreed = (
        ("Price", card.price),
        *((("Tax", card.tax),) if card.tax else ()),
        ("Deposit before the work", card.deposit),
        ("Paid so far", card.paid),
        ("Balance due on handover", card.price + card.tax - card.paid),
    )
    money = [(f"{label}, {card.currency}", wording.number(amount, card.digits)) for label, amount in agreed]
    story = [
        letter.head("Job card", card.workshop, card.customer, facts, to="Customer"),
        *flow.part("Condition on receipt", [*condition, *to_write]),
        *flow.part("Work agreed", flow.paragraphs([card.work, card.note])),
        flow.sums(money, before=2 * mm),
        *flow.part("Hazards", flow.paragraphs(card.cautions)),
        *flow.part("Our terms", flow.paragraphs(card.terms)),
        flow.together(
            flow.words(LAW_FIRST, before=2),
            flow.blanks("For the workshop", "Date", "The customer", "Date", tall=20 * mm),
            flow.blanks("Handed over to", "Date", tall=16 * mm),
        ),
    ]
    foot = f"{card.workshop.name} · job {card.number} · {card.tag}"
    return flow.document(story, size, title=f"Job card {card.number}", author=card.workshop.name, foot=foot)
