"""Owns the letter that reminds of an overdue invoice. Must not work out a balance or interest."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party, Payment
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table
from workshop.documents.words.rules import Words


@dataclass(frozen=True)
class Letter:
    """What is overdue, and the `text` about it. `interest` at `percent` a year over `days` is asked too, where it is not zero."""

    title: str
    on: date
    seller: Party
    buyer: Party
    text: str
    number: str
    issued_on: date
    due_on: date
    total: Decimal
    owed: Decimal
    currency: str
    percent: Decimal = Decimal(0)
    interest: Decimal = Decimal(0)
    days: int = 0
    payment: Payment = letter.UNASKED
    digits: int = 2
    words: Words = Words()

    def money(self, value: Decimal) -> str:
        return wording.number(value, self.digits)


def render(one: Letter, size: Paper = A4) -> bytes:
    """The letter as PDF."""
    words = one.words
    facts = [
        (words("kit.date"), words.day(one.on)),
        (words("reminder.invoice"), one.number),
        (words("reminder.due_date"), words.day(one.due_on)),
    ]
    story = [
        letter.head(one.title, one.seller, one.buyer, facts, to=words("kit.to"), words=words),
        *flow.paragraphs(one.text.split("\n"), first=8 * mm, before=2 * mm),
        flow.space(5 * mm),
        _owed(one),
        *letter.how_to_pay(one.payment, words),
        flow.words(one.seller.name, before=8 * mm),
    ]
    name = f"{one.title} {one.number}"
    foot = f"{one.seller.name} · {name} · {words.day(one.on)}"
    return flow.document(story, size, title=name, author=one.seller.name, foot=foot, day=one.on, words=words)


def _owed(one: Letter) -> Table:
    words, currency = one.words, one.currency
    due = f"{words('kit.balance_due')}, {currency}"
    columns: list[Column[Letter]] = [
        Column(words("reminder.invoice"), 34, lambda each: each.number, code=True),
        Column(words("reminder.invoice_date"), 34, lambda each: words.day(each.issued_on)),
        Column(words("reminder.due_date"), 34, lambda each: words.day(each.due_on)),
        Column(f"{words('reminder.total')}, {currency}", 34, lambda each: each.money(each.total), figure=True),
        Column(due, 34, lambda each: each.money(each.owed), figure=True),
    ]
    rows = [(due, one.money(one.owed))]
    if one.interest:
        percent = wording.number(one.percent)
        bears = (
            words("reminder.interest_of_a_day", percent=percent)
            if one.days == 1
            else words("reminder.interest", percent=percent, days=one.days)
        )
        rows += [
            (f"{bears}, {currency}", one.money(one.interest)),
            (f"{words('reminder.total_to_pay')}, {currency}", one.money(one.owed + one.interest)),
        ]
    return Table(columns, [one], closing=[flow.sums(rows, before=1.5 * mm)])
