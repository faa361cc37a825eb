"""Owns the packing slip: what is in the box, that its care card is in, where it may go back to. It names no price.

The buyer reads it, so it holds nothing that the maker is to do.
"""

from dataclasses import dataclass
from datetime import date

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table
from workshop.documents.words.rules import Words


@dataclass(frozen=True)
class PackedItem:
    """A thing in the box. `care` is the method its care card speaks of; empty: it has none."""

    number: str
    description: str
    tags: str = ""
    quantity: str = "1"
    care: str = ""


@dataclass(frozen=True)
class PackingSlip:
    """The box of one sale."""

    number: str
    on: date
    seller: Party
    buyer: Party
    items: tuple[PackedItem, ...]
    words: Words = Words()


def render(slip: PackingSlip, size: Paper = A4) -> bytes:
    """The slip as PDF."""
    words = slip.words
    day = words.day(slip.on)
    facts = [(words("packing.sale"), slip.number), (words("kit.date"), day)]
    address = ", ".join(letter.one_line(part) for part in (slip.seller.name, slip.seller.address) if part)
    contact = words("packing.contact", contact=slip.seller.electronic) if slip.seller.electronic else ""
    own = [*words.here("terms.returns").splitlines(), *words.here("terms.warranty").splitlines()]
    to, packed_by = words("packing.deliver_to"), words("packing.packed_by")
    story = [
        letter.head(words("packing.title"), slip.seller, slip.buyer, facts, to=to, words=words),
        Table(_columns(slip.items, words), slip.items),
        *flow.paragraphs([contact], first=6 * mm),
        flow.words(words("packing.return_address", address=address), bold=True, before=2),
        *flow.paragraphs(own),
        flow.blanks(packed_by, words("kit.date"), tall=20 * mm),
    ]
    title = words("packing.numbered", number=slip.number)
    foot = f"{slip.seller.name} · {title} · {day}"
    return flow.document(story, size, title=title, author=slip.seller.name, foot=foot, day=slip.on, words=words)


def _columns(items: tuple[PackedItem, ...], words: Words) -> list[Column[PackedItem]]:
    """None that nothing stands in; what that leaves is the description's."""
    number = [Column[PackedItem](words("kit.number"), 34, lambda one: one.number, code=True)]
    tags = [Column[PackedItem](words("packing.skin"), 26, lambda one: one.tags)]
    care = [
        Column[PackedItem](words("packing.card"), 10, lambda one: one.care, tick=True),
        Column(words("packing.care_card"), 30, lambda one: one.care and words("packing.enclosed", method=one.care)),
    ]
    number = number if any(one.number for one in items) else []
    tags = tags if any(one.tags for one in items) else []
    care = care if any(one.care for one in items) else []
    left = 149 - sum(column.share for column in (*number, *tags, *care))
    return [
        Column(words("packing.in_box"), 15, tick=True),
        *number,
        Column(words("packing.description"), left, lambda one: one.description),
        *tags,
        Column(words("packing.quantity"), 14, lambda one: one.quantity, figure=True),
        *care,
    ]
