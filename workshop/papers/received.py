"""Owns the receipt for money: a payment of a bill, or a deposit before the work is done. Must not work out a balance."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.papers import fonts, letter, wording
from workshop.papers.flow import document, room
from workshop.papers.kit import A4, Paper
from workshop.papers.letter import Who
from workshop.papers.stack import Para

DEPOSIT = "A deposit stays yours until the work is handed over; it is then set off against the price."


@dataclass(frozen=True)
class Received:
    """Money received, or paid back where `amount` is below nought. `left` is what was open after it, None where unknown.

    `held` is what is still held of a deposit after a part of it was paid back.
    """

    number: str
    on: date
    seller: Who
    buyer: Who
    amount: Decimal
    how: str
    what_for: str
    currency: str
    left: Decimal | None = None
    held: Decimal | None = None
    deposit: bool = False
    note: str = ""
    digits: int = 2


def render(paper: Received, size: Paper = A4) -> bytes:
    """The receipt as PDF."""
    fonts.register()
    width = room(size).width
    back = paper.amount < 0
    facts = [
        ("Number", paper.number),
        ("Day paid back" if back else "Day of payment", wording.day(paper.on)),
        ("Paid back" if back else "Paid", paper.how),
        ("For", paper.what_for),
        ("Note", paper.note),
    ]
    title = "Receipt for money paid back" if back else "Receipt"
    rows = [
        (f"{'Paid back' if back else 'Received'}, {paper.currency}", wording.number(abs(paper.amount), paper.digits))
    ]
    pieces = [
        letter.head(title, paper.seller, paper.buyer, facts, width, to="Paid to" if back else "From"),
        *letter.sums(rows, gap=3 * mm),
    ]
    if paper.left is not None:
        left = f"Left to pay after this, {paper.currency}"
        if paper.left < 0:
            left = f"Paid too much, {paper.currency}"
        pieces += letter.sums([(left, wording.number(abs(paper.left), paper.digits))], bold=False, gap=1 * mm)
    if paper.held:
        held = (f"Still held as a deposit, {paper.currency}", wording.number(paper.held, paper.digits))
        pieces += letter.sums([held], bold=False, gap=1 * mm)
    pieces += letter.words([Para(DEPOSIT if paper.deposit and (paper.held or not back) else "")], width, before=6 * mm)
    pieces.append(letter.lines_to_write(("Received by", "Day"), tall=22 * mm))
    foot = f"{paper.seller.name} · {title} {paper.number} · {wording.day(paper.on)}"
    return document(pieces, size, title=f"{title} {paper.number}", author=paper.seller.name, foot=foot)
