"""Owns the letter that reminds of an overdue invoice. Must not work out a balance or interest."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table


@dataclass(frozen=True)
class Letter:
    """What is overdue, and in which `words`. `interest` at `percent` a year over `days` is asked besides; none where it is zero."""

    title: str
    on: date
    seller: Party
    buyer: Party
    words: str
    number: str
    issued_on: date
    due_on: date
    total: Decimal
    owed: Decimal
    currency: str
    percent: Decimal = Decimal(0)
    interest: Decimal = Decimal(0)
    days: int = 0
    how_to_pay: str = ""
    digits: int = 2

    def money(self, value: Decimal) -> str:
        return wording.number(value, self.digits)


def render(one: Letter, size: Paper = A4) -> bytes:
    """The letter as PDF."""
    facts = [("Date", wording.day(one.on)), ("Invoice", one.number), ("Due date", wording.day(one.due_on))]
    how = [flow.words("How to pay", bold=True, before=6 * mm), flow.words(one.how_to_pay)] if one.how_to_pay else []
    story = [
        letter.head(one.title, one.seller, one.buyer, facts, to="To"),
        *flow.paragraphs(one.words.split("\n"), first=8 * mm, before=2 * mm),
        flow.space(5 * mm),
        _owed(one),
        *how,
        flow.words(one.seller.name, before=8 * mm),
    ]
    name = f"{one.title} {one.number}"
    foot = f"{one.seller.name} · {name} · {wording.day(one.on)}"
    return flow.document(story, size, title=name, author=one.seller.name, foot=foot)


def _owed(one: Letter) -> Table:
    columns: list[Column[Letter]] = [
        Column("Invoice", 34, lambda each: each.number, code=True),
        Column("Invoice date", 34, lambda each: wording.day(each.issued_on)),
        Column("Due date", 34, lambda each: wording.day(each.due_on)),
        Column(f"Total, {one.currency}", 34, lambda each: each.money(each.total), figure=True),
        Column(f"Balance due, {one.currency}", 34, lambda each: each.money(each.owed), figure=True),
    ]
    rows = [(f"Balance due, {one.currency}", one.money(one.owed))]
    if one.interest:
        percent, days = wording.number(one.percent), f"{one.days} day{'' if one.days == 1 else 's'}"
        rows += [
            (f"Interest, {percent} % a year for {days}, {one.currency}", one.money(one.interest)),
            (f"Total to pay, {one.currency}", one.money(one.owed + one.interest)),
        ]
    return Table(columns, [one], closing=[flow.sums(rows, before=1.5 * mm)])
