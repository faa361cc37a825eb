"""Writing off as bad debt what a customer will not pay, and reversing that when the customer pays after all.

No price is cut and no tax is changed: who may get the tax back, and when, differs by country.
"""

from datetime import date
from decimal import Decimal

from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.payments import selectors as payments, settlement
from costing.sell.sales.models import Sale
from inventory.base import checks, services as entries
from inventory.base.checks import coins
from inventory.base.selectors import coins as coins_of
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person, author


@service(Act.BOOKS, makes=WriteOff)
def write_off(
    *, sale: Sale, amount: Decimal, on: date, reason: str, by: Person = None, request_key: str | None = None
) -> WriteOff:
    """Give up what is left to pay of a sale, or a part of it. It is a cost of the year of `on` where stock is counted."""
    checks.day(on)
    checks.positive(coins(amount, "The amount", field="amount"), "The amount", field="amount")
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
    if sale.kind == Sale.Kind.CREDIT:
        raise Refused(f"{sale.number} is a credit note; nobody owes you anything on it.", field="sale")
    if on < sale.on:
        raise Refused(f"{sale.number} is of {sale.on}; it cannot be written off on {on}, before it.", field="on")
    settled = payments.settled().get(pk=sale.pk)
    left = min(payments.balance(settled, day).left for day in (on, date.max))
    if amount > left:
        raise Refused(
            f"{coins_of(left)} is the balance due on {sale.number}; {coins_of(amount)} is more. Write off at most that.",
            field="amount",
        )
    row = WriteOff.objects.create(sale=sale, on=on, amount=amount, reason=reason, written_by=author(by))
    settlement.settle(sale)
    return row


@service(Act.BOOKS, makes=WriteOff)
def reverse(
    *, write_off: WriteOff, on: date | None = None, by: Person = None, request_key: str | None = None
) -> WriteOff:
    """The customer pays after all: the balance is due again from that day, and what comes is entered as any payment."""
    already = "This write-off is reversed already."
    back = entries.reverse(write_off, _mirrored, already=already, on=on, writer=author(by))
    settlement.settle(back.sale)
    return back


def _mirrored(row: WriteOff, on: date) -> WriteOff:
    return WriteOff(sale=row.sale, on=on, amount=-row.amount, reason=row.reason)
