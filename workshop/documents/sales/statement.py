"""Owns the statement of account of a customer. Must not work out a balance."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table

TITLE = "Statement of account"


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
    how_to_pay: str = ""
    digits: int = 2

    def money(self, value: Decimal) -> str:
        return wording.number(value, self.digits)


def render(account: Account, size: Paper = A4) -> bytes:
    """The statement as PDF, over as many pages as its rows take."""
    facts = [("From", wording.day(account.first)), ("To", wording.day(account.last))]
    owed = account.closing > 0 and account.how_to_pay
    how = [flow.words("How to pay", bold=True, before=6 * mm), flow.words(account.how_to_pay)] if owed else []
    story = [letter.head(TITLE, account.seller, account.buyer, facts, to="To"), _rows(account), *how]
    foot = f"{account.seller.name} · {TITLE} · {wording.day(account.last)}"
    return flow.document(story, size, title=TITLE, author=account.seller.name, foot=foot)


def _rows(account: Account) -> Table:
    def money(value: Decimal | None) -> str:
        return "" if value is None else account.money(value)

    columns: list[Column[AccountRow]] = [
        Column("Date", 24, lambda row: wording.day(row.on)),
        Column("Number", 22, lambda row: row.number, code=True),
        Column("What", 56, lambda row: row.what),
        Column(f"Charged, {account.currency}", 26, lambda row: money(row.charged), figure=True),
        Column(f"Settled, {account.currency}", 26, lambda row: money(row.settled), figure=True),
        Column(f"Balance, {account.currency}", 26, lambda row: money(row.balance), figure=True),
    ]
    opening = AccountRow(account.first, "", "Opening balance", None, None, account.opening)
    label = "Balance due" if account.closing >= 0 else "In your favour"
    last = (f"{label}, {account.currency}", account.money(abs(account.closing)))
    return Table(columns, [opening, *account.rows], closing=[flow.sums([last], before=1.5 * mm)])
