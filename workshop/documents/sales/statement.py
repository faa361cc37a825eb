"""Owns the statement of account of a customer. Must not work out a balance."""

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
class AccountRow:
    """An entry; None in a column in which it has no figure."""

    on: date
    number: str
    what: str
    charged: Decimal | None
    settled: Decimal | None
    balance: Decimal


@dataclass(frozen=True)
class Account:
    """The entries between the opening balance and the closing one; below zero the seller owes the buyer."""

    seller: Party
    buyer: Party
    first: date
    last: date
    rows: tuple[AccountRow, ...]
    opening: Decimal
    closing: Decimal
    currency: str
    payment: Payment = letter.UNASKED
    digits: int = 2
    words: Words = Words()

    def money(self, value: Decimal) -> str:
        return wording.number(value, self.digits)


def render(account: Account, size: Paper = A4) -> bytes:
    """The statement as PDF, over as many pages as its rows take."""
    words = account.words
    title, last = words("statement.title"), words.day(account.last)
    facts = [(words("statement.from"), words.day(account.first)), (words("statement.until"), last)]
    how = letter.how_to_pay(account.payment, words) if account.closing > 0 else []
    story = [
        letter.head(title, account.seller, account.buyer, facts, to=words("kit.to"), words=words),
        _rows(account),
        *how,
    ]
    foot = f"{account.seller.name} · {title} · {last}"
    return flow.document(story, size, title=title, author=account.seller.name, foot=foot, day=account.last, words=words)


def _rows(account: Account) -> Table:
    def money(value: Decimal | None) -> str:
        return "" if value is None else account.money(value)

    words, currency = account.words, account.currency
    columns: list[Column[AccountRow]] = [
        Column(words("kit.date"), 24, lambda row: words.day(row.on)),
        Column(words("kit.number"), 22, lambda row: row.number, code=True),
        Column(words("statement.what"), 56, lambda row: row.what),
        Column(f"{words('statement.charged')}, {currency}", 26, lambda row: money(row.charged), figure=True),
        Column(f"{words('statement.settled')}, {currency}", 26, lambda row: money(row.settled), figure=True),
        Column(f"{words('statement.balance')}, {currency}", 26, lambda row: money(row.balance), figure=True),
    ]
    opening = AccountRow(account.first, "", words("statement.opening"), None, None, account.opening)
    label = words("kit.balance_due") if account.closing >= 0 else words("statement.in_your_favour")
    last = (f"{label}, {currency}", account.money(abs(account.closing)))
    return Table(columns, [opening, *account.rows], closing=[flow.sums([last], before=1.5 * mm)])
