"""Papers of what customers owe: the reminder of an invoice as it was sent, and a statement of account."""

from datetime import date

from costing.models import Customer, Reminder
from costing.sell.debts.statements import selectors as statements
from costing.sell.sales.invoices import selectors as invoices
from costing.sell.sales.terms import selectors as terms
from inventory import money
from inventory.base import selectors as workshop
from workshop.documents.records.invoices import party
from workshop.documents.sales.reminder import Letter
from workshop.documents.sales.statement import Account, AccountRow

TITLES = {
    Reminder.Tone.FRIENDLY: "Payment reminder",
    Reminder.Tone.FIRM: "Second reminder",
    Reminder.Tone.FINAL: "Final reminder",
}


def reminder(row: Reminder) -> Letter:
    """Words and figures of its day; address and how to pay are those of today, for they say where the money goes."""
    sale = row.sale
    due = sale.due_on or sale.on
    return Letter(
        title=TITLES[Reminder.Tone(row.tone)],
        on=row.on,
        seller=party(invoices.seller()),
        buyer=party(sale.buyer),
        words=row.words,
        number=sale.number,
        issued_on=sale.issued_on,
        due_on=due,
        total=sale.gross,
        owed=row.amount,
        currency=sale.currency,
        percent=row.percent,
        interest=row.interest,
        days=(row.on - due).days,
        how_to_pay=terms.terms().payment_words,
        digits=money.digits(sale.currency),
    )


def statement(customer: Customer, *, period: tuple[date, date]) -> Account:
    """The account of a customer over a period."""
    found = statements.account(customer, *period)
    rows = (
        AccountRow(row.on, row.paper, row.what, row.charged or None, row.settled or None, row.balance)
        for row in found.rows
    )
    return Account(
        seller=party(invoices.seller()),
        buyer=party(invoices.buyer(customer)),
        first=found.first,
        last=found.last,
        rows=tuple(rows),
        opening=found.opening,
        closing=found.closing,
        currency=workshop.current().currency,
        how_to_pay=terms.terms().payment_words,
        digits=workshop.places(),
    )
