"""Papers of what customers owe: the reminder of an invoice as it was sent, and a statement of account."""

from datetime import date

from costing.models import Customer, Reminder
from costing.sell.debts.statements import selectors as statements
from costing.sell.debts.statements.rules import Row
from costing.sell.sales.invoices import selectors as invoices
from costing.sell.sales.terms.rules import USUAL, Tone
from inventory import money
from inventory.base import selectors as workshop
from workshop.documents.records.invoices import account_of, asked_of, party
from workshop.documents.sales.reminder import Letter
from workshop.documents.sales.statement import Account, AccountRow
from workshop.documents.words import selectors as words_read
from workshop.documents.words.rules import Words


def reminder(row: Reminder, language: str = "") -> Letter:
    """Words and figures of its day; address and how to pay are those of today, for they say where the money goes."""
    sale = row.sale
    due = sale.due_on or sale.on
    seller = invoices.seller()
    words, tone = words_read.for_customer(sale.customer, language), Tone(row.tone)
    return Letter(
        title=words(f"reminder.title.{tone}"),
        on=row.on,
        seller=party(seller),
        buyer=party(sale.buyer),
        text=words(f"reminder.text.{tone}") if row.words == USUAL[tone] else row.words,
        number=sale.number,
        issued_on=sale.issued_on,
        due_on=due,
        total=sale.gross,
        owed=row.amount,
        currency=sale.currency,
        percent=row.percent,
        interest=row.interest,
        days=(row.on - due).days,
        payment=asked_of(seller, sale, row.amount + row.interest, words),
        digits=money.digits(sale.currency),
        words=words,
    )


def statement(customer: Customer, *, period: tuple[date, date], language: str = "") -> Account:
    """The account of a customer over a period."""
    found = statements.account(customer, *period)
    seller, words = invoices.seller(), words_read.for_customer(customer, language)
    rows = (
        AccountRow(row.on, row.paper, _said(row, words), row.charged or None, row.settled or None, row.balance)
        for row in found.rows
    )
    return Account(
        seller=party(seller),
        buyer=party(invoices.buyer(customer)),
        first=found.first,
        last=found.last,
        rows=tuple(rows),
        opening=found.opening,
        closing=found.closing,
        currency=workshop.current().currency,
        payment=account_of(seller),
        digits=workshop.places(),
        words=words,
    )


def _said(row: Row, words: Words) -> str:
    """What an entry is, in the words of the paper."""
    key, of, how = row.means
    return words(f"entry.{key}", of=of, how=words(f"paid_by.{how}") if how else "")
