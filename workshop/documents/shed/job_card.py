"""Owns the job card: a customer's skin as it came, what is agreed on it, and both names under it.

The customer reads and signs it: the terms are the maker's own words or none, local law goes before them, and what the maker
minds in the shed is not on it. Must not work out a price.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from inventory import money as moneys
from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.words.rules import Words


@dataclass(frozen=True)
class JobCard:
    """One job. `tax` comes on top of the price; `paid` of the deposit so far; `photos` how many were kept on arrival.

    Without `paid` the card says what was agreed for the work, and nothing of what was paid or is due.

    A finished skin lies here free for so many days, then at so much a day; nothing is said of it where that is zero."""

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
    paid: Decimal | None
    currency: str
    ready_by: date | None = None
    photos: int = 0
    storage_free_days: int = 0
    storage_per_day: Decimal = Decimal(0)
    note: str = ""
    digits: int = 2
    tax: Decimal = Decimal(0)
    words: Words = Words()


def storage(card: JobCard) -> str:
    """What it costs to leave a finished skin here.

    >>> from dataclasses import replace
    >>> card = JobCard(Party(), Party(), "J-01", date(2025, 3, 2), "H06", "", "", "", *[Decimal(0)] * 3, "EUR")
    >>> storage(replace(card, storage_free_days=30, storage_per_day=Decimal("1.00")))
    'free until 30 days after you are told that it is ready, then 1.00\xa0€ a day'
    """
    if not card.storage_per_day:
        return ""
    charge = moneys.show(card.storage_per_day, card.currency)
    if card.storage_free_days:
        return card.words("job.storage_free", days=card.storage_free_days, amount=charge)
    return card.words("job.storage_charged", amount=charge)


def render(card: JobCard, size: Paper = A4) -> bytes:
    """The card as PDF."""
    words = card.words
    facts = [
        (words("job.number"), card.number),
        (words("job.skin"), f"{card.tag} {card.skin}".strip()),
        (words("job.received_on"), words.day(card.received_on)),
        (words("job.ready_by"), words.day(card.ready_by) if card.ready_by else words("job.not_agreed")),
        (words("job.storage"), storage(card)),
    ]
    condition = flow.paragraphs([card.condition or words("job.not_written"), _photos(card)])
    to_write = [] if card.condition else [flow.line(), flow.line()]
    story = [
        letter.head(words("job.title"), card.workshop, card.customer, facts, to=words("job.customer"), words=words),
        *flow.part(words("job.condition"), [*condition, *to_write]),
        *flow.part(words("job.work"), flow.paragraphs([card.work, card.note])),
        flow.sums(_money(card), before=2 * mm),
        *_terms(words),
        flow.together(
            flow.blanks(
                words("kit.for_workshop"), words("kit.date"), words("job.the_customer"), words("kit.date"), tall=20 * mm
            ),
            flow.blanks(words("job.handed_over"), words("kit.date"), tall=16 * mm),
        ),
    ]
    title = words("job.numbered", number=card.number)
    foot = f"{card.workshop.name} · {title} · {card.tag}"
    return flow.document(
        story, size, title=title, author=card.workshop.name, foot=foot, day=card.received_on, words=words
    )


def _photos(card: JobCard) -> str:
    if not card.photos:
        return ""
    return card.words("job.photo") if card.photos == 1 else card.words("job.photos", count=card.photos)


def _due(card: JobCard, paid: Decimal) -> list[tuple[str, Decimal]]:
    left = card.price + card.tax - paid
    return [("job.deposit", card.deposit), ("job.paid", -paid), ("job.balance_due", left)]


def _money(card: JobCard) -> list[tuple[str, str]]:
    agreed = (
        ("job.price", card.price),
        *((("job.tax", card.tax),) if card.tax else ()),
        *(() if card.paid is None else _due(card, card.paid)),
    )
    return [(f"{card.words(key)}, {card.currency}", wording.number(amount, card.digits)) for key, amount in agreed]


def _terms(words: Words) -> flow.Story:
    """The maker's own, and that the law goes before them; nothing where there are none."""
    own = words.here("terms.job").splitlines()
    return flow.part(words("job.terms"), flow.paragraphs([*own, words("job.law_first")])) if own else []
