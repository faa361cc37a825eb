"""Paying what was due later: a bill of goods or of a cost, in whole or in part."""

from datetime import date
from decimal import Decimal

from costing.sell.bills import selectors as bills
from costing.sell.bills.models import BillPayment
from costing.sell.expenses.models import Expense
from inventory.base import checks, services as entries
from inventory.base.models import How
from inventory.base.selectors import coins as coins_of
from inventory.base.services import service
from inventory.errors import Refused
from inventory.models import Delivery, Posting
from inventory.money import ZERO
from inventory.permits import Act, Person, author


@service(Act.BOOKS, makes=BillPayment)
def pay(
    *,
    amount: Decimal,
    on: date,
    how: str = How.BANK,
    delivery: Delivery | None = None,
    expense: Expense | None = None,
    note: str = "",
    over: bool = False,
    by: Person = None,
    request_key: str | None = None,
) -> BillPayment:
    """Money paid on one bill, at most what is left of it, not before it came.

    `over`: also more than that, as a folder may have it where the delivery was corrected after it was paid.
    """
    checks.day(on)
    checks.positive(checks.coins(amount, "The amount", field="amount"), "The amount", field="amount")
    checks.choice(how, [each for each, _ in How.in_money()], "way to pay", field="how")
    note = checks.text(note, "The note", field="note", longest=200)
    # Of two phones at once, the second is to see what the first paid.
    if delivery is not None:
        Delivery.objects.select_for_update().get(pk=delivery.pk)
    if expense is not None:
        Expense.objects.select_for_update().get(pk=expense.pk)
    there = bills.bill(delivery=delivery.pk if delivery else None, expense=expense.pk if expense else None)
    if there is None:
        raise Refused("That is no bill due later. Name the delivery or the cost that is not paid yet.", field="bill")
    if on < there.on:
        raise Refused(f"The bill is of {there.on}; nothing was paid on it on {on}.", field="on")
    left = there.left(date.max)
    if amount > left and not over:
        raise Refused(
            f"{coins_of(left)} is left of this bill; {coins_of(amount)} is more. Pay at most that.", field="amount"
        )
    return BillPayment.objects.create(
        amount=amount, on=on, how=how, delivery=delivery, expense=expense, note=note, written_by=author(by)
    )


@service(Act.BOOKS, makes=BillPayment)
def reverse(
    *, payment: BillPayment, on: date | None = None, by: Person = None, request_key: str | None = None
) -> BillPayment:
    """A payment that never went out."""
    already = "This payment is reversed already."
    return entries.reverse(payment, _mirrored, already=already, on=on, writer=author(by))


def _mirrored(row: BillPayment, on: date) -> BillPayment:
    return BillPayment(
        on=on, amount=-row.amount, how=row.how, delivery=row.delivery, expense=row.expense, note=row.note
    )


def refuse_paid(*, row: object, **_: object) -> None:
    """Answers `inventory.base.signals.reversing`: a bill on which money is paid is not reversed before the payment."""
    if isinstance(row, Posting):
        row = Delivery.objects.filter(posting=row, due_on__isnull=False).first()
    if not isinstance(row, Delivery | Expense) or row.due_on is None:
        return
    paid = sum((each.amount for each in row.payments.all()), ZERO)
    if paid:
        raise Refused(f"{coins_of(paid)} is paid on this bill. Reverse the payment under I owe first.")
