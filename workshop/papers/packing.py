"""Owns the packing slip: what is in the box, that its care card is in, where it may go back to. It names no price."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from reportlab.lib.units import mm

from workshop.papers import fonts, letter, wording
from workshop.papers.flow import document, room
from workshop.papers.kit import A4, Paper
from workshop.papers.letter import Who
from workshop.papers.stack import Para
from workshop.papers.table import Column, Row, Table

PROMISE = "Tick each thing as it goes into the box. The care card goes in with it."


@dataclass(frozen=True)
class Packed:
    """A thing in the box. `care` is the method its care card speaks of; empty: it has none."""

    number: str
    what: str
    tags: str = ""
    quantity: str = "1"
    care: str = ""


@dataclass(frozen=True)
class PackingSlip:
    """The box of one sale."""

    number: str
    on: date
    seller: Who
    buyer: Who
    things: tuple[Packed, ...]


def render(slip: PackingSlip, size: Paper = A4) -> bytes:
    """The slip as PDF."""
    fonts.register()
    width = room(size).width
    facts = [("Sale", slip.number), ("Day", wording.day(slip.on))]
    columns = (
        Column("In the box", 12, tick=True),
        Column("Number", 34, code=True),
        Column("What", 54),
        Column("Of skin", 26),
        Column("How many", 12, figure=True),
        Column("Card", 8, tick=True),
        Column("Care card", 32),
    )
    rows = [
        Row(("", one.number, one.what, one.tags, one.quantity, one.care, one.care and f"{one.care}, enclosed"))
        for one in slip.things
    ]
    back = ", ".join(letter.said(part) for part in (slip.seller.name, slip.seller.address) if part)
    pieces = [
        letter.head("Packing slip", slip.seller, slip.buyer, facts, width),
        *letter.words([Para(PROMISE)], width, before=2 * mm),
        *Table(columns, width).pieces(rows),
        *letter.signed(
            letter.words(
                [
                    Para(
                        f"If something is to come back, write first: {slip.seller.electronic}"
                        if slip.seller.electronic
                        else ""
                    ),
                    Para(f"It goes to: {back}", bold=True, before=2),
                    Para("How long you may send it back is set by the terms of the sale and by your law.", before=2),
                ],
                width,
                before=6 * mm,
            ),
            letter.lines_to_write(("Packed by", "Day"), tall=20 * mm),
        ),
    ]
    foot = f"{slip.seller.name} · packing slip of {slip.number} · {wording.day(slip.on)}"
    return document(pieces, size, title=f"Packing slip {slip.number}", author=slip.seller.name, foot=foot)
