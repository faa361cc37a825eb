"""Owns the packing slip: what is in the box, that its care card is in, where it may go back to. It names no price."""

from dataclasses import dataclass
from datetime import date

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table

PROMISE = "Tick each thing as it goes into the box. The care card goes in with it."
TERMS = "How long you may send it back is set by the terms of the sale and by your law."


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


def render(slip: PackingSlip, size: Paper = A4) -> bytes:
    """The slip as PDF."""
    columns: list[Column[PackedItem]] = [
        Column("In the box", 12, tick=True),
        Column("Number", 34, lambda one: one.number, code=True),
        Column("Description", 52, lambda one: one.description),
        Column("Skin", 26, lambda one: one.tags),
        Column("Quantity", 14, lambda one: one.quantity, figure=True),
        Column("Card", 8, lambda one: one.care, tick=True),
        Column("Care card", 32, lambda one: one.care and f"{one.care}, enclosed"),
    ]
    facts = [("Sale", slip.number), ("Date", wording.day(slip.on))]
    address = ", ".join(letter.one_line(part) for part in (slip.seller.name, slip.seller.address) if part)
    contact = f"Returns: please contact us first: {slip.seller.electronic}" if slip.seller.electronic else ""
    story = [
        letter.head("Packing slip", slip.seller, slip.buyer, facts, to="Deliver to"),
        flow.words(PROMISE, before=6 * mm),
        Table(columns, slip.items),
        *flow.paragraphs([contact], first=6 * mm),
        flow.words(f"Return address: {address}", bold=True, before=2),
        flow.together(flow.words(TERMS, before=2), flow.blanks("Packed by", "Date", tall=20 * mm)),
    ]
    foot = f"{slip.seller.name} · packing slip of {slip.number} · {wording.day(slip.on)}"
    return flow.document(story, size, title=f"Packing slip {slip.number}", author=slip.seller.name, foot=foot)
