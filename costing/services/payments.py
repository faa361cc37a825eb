"""Money that customers pay and are paid back: for a sale, or before delivery for a job.

Nothing is edited: a mistake is taken back by a linked entry of the same size.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.contrib.auth.models import User
from django.db import transaction

from costing.models import Job, Payment, Sale, Series
from costing.selectors import money
from costing.services import linked, series
from inventory.errors import Refused
from inventory.selectors.workshop import coins as coins_of
from inventory.services import checks, requests
from inventory.services.materials import coins
from inventory.services.permits import Act, Person, require


@transaction.atomic
def receive(
    *,
    amount: Decimal,
    on: date,
    how: str = Payment.How.CASH,
    sale: Sale | None = None,
    job: Job | None = None,
    note: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> Payment:
    """Money received for a sale, or before delivery for a job: a deposit, owed until the work is handed over."""
    writer = require(by, Act.BOOKS)
    if done := requests.earlier(request_key, Payment, "receive"):
        return done
    return requests.keep(
        request_key, take_in(amount=amount, on=on, how=how, sale=sale, job=job, note=note, writer=writer)
    )


def take_in(
    *,
    amount: Decimal,
    on: date,
    how: str,
    sale: Sale | None = None,
    job: Job | None = None,
    note: str = "",
    writer: User | None,
) -> Payment:
    """For services that take money with a sale, inside their transaction."""
    checks.day(on)
    checks.positive(coins(amount, "The amount", field="amount"), "The amount", field="amount")
    _refuse_unknown_way(how)
    if (sale is None) == (job is None):
        raise Refused("Name either the sale or the job that is paid for.", field="sale")
    if sale is not None:
        refuse_more_than_owed(sale, amount)
    if job is not None:
        _refuse_more_than_agreed(job, amount, on)
    sequence, number = series.take(Series.Kind.RECEIPT)
    return Payment.objects.create(
        sequence=sequence,
        number=number,
        on=on,
        amount=amount,
        how=how,
        sale=sale,
        job=job,
        customer=sale.customer if sale is not None else job.customer if job is not None else None,
        note=checks.text(note, "The note", field="note", longest=200),
        written_by=writer,
    )


def give_back(*, sale: Sale, amount: Decimal, on: date, how: str, note: str = "", writer: User | None) -> Payment:
    """Money paid back on a credit; it has a number as every payment has, and stands below nought."""
    checks.day(on)
    checks.positive(coins(amount, "The amount", field="amount"), "The amount", field="amount")
    _refuse_unknown_way(how)
    sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
    if on < sale.on:
        raise Refused(f"{sale.number} is of {sale.on}; nothing was paid back on it on {on}.", field="on")
    held = money.least_paid(sale, on)
    if amount > held:
        raise Refused(
            f"{sale.number} was paid {coins_of(held)} by {on}; {coins_of(amount)} cannot be paid back. Pay back at most that.",
            field="amount",
        )
    over = money.balance(sale, date.max).overpaid
    if amount > over:
        raise Refused(
            f"{coins_of(over)} was paid too much on {sale.number}; {coins_of(amount)} is more. "
            "Credit the sale first, or pay back less.",
            field="amount",
        )
    sequence, number = series.take(Series.Kind.RECEIPT)
    return Payment.objects.create(
        sequence=sequence,
        number=number,
        on=on,
        amount=-amount,
        how=how,
        sale=sale,
        customer=sale.customer,
        note=checks.text(note, "The note", field="note", longest=200),
        written_by=writer,
    )


@transaction.atomic
def refund(
    *,
    sale: Sale,
    amount: Decimal,
    on: date,
    how: str = Payment.How.CASH,
    note: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> Payment:
    """What was paid too much on a sale is paid back, on a later day than its credit or in parts."""
    writer = require(by, Act.BOOKS)
    if done := requests.earlier(request_key, Payment, "refund"):
        return done
    return requests.keep(request_key, give_back(sale=sale, amount=amount, on=on, how=how, note=note, writer=writer))


def take_back(
    *, payment: Payment, on: date | None = None, by: Person = None, request_key: str | None = None
) -> Payment:
    """A payment that never came: a linked one of the same size with a number of its own."""
    return linked.take_back(
        payment, _mirrored, already="This payment is taken back already.", on=on, by=by, request_key=request_key
    )


def _mirrored(row: Payment, on: date) -> Payment:
    if row.sale is not None and row.amount > 0:
        row.sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
        if row.amount > money.least_paid(row.sale, on):
            raise Refused(
                f"Money of {row.number} was paid back on {row.sale.number} already. Take that back first.", field="on"
            )
    sequence, number = series.take(Series.Kind.RECEIPT)
    return Payment(
        sequence=sequence,
        number=number,
        on=on,
        amount=-row.amount,
        how=row.how,
        sale=row.sale,
        job=row.job,
        customer=row.customer,
        note=f"takes back {row.number}",
    )


def _refuse_unknown_way(how: str) -> None:
    if how not in Payment.How.values:
        raise Refused(f"{how!r} is no way to pay; choose one of {', '.join(Payment.How.values)}.", field="how")


def refuse_more_than_owed(sale: Sale, amount: Decimal) -> None:
    """Money that comes for a sale, or is kept back of it, is at most what is left to pay."""
    sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
    if sale.kind == Sale.Kind.CREDIT:
        raise Refused(f"{sale.number} is a credit note; pay it back instead.", field="sale")
    left = money.balance(sale, date.max).left
    if amount > left:
        raise Refused(
            f"{coins_of(left)} is left to pay on {sale.number}; {coins_of(amount)} is more. "
            "Enter what was paid for it, and the rest where it belongs.",
            field="amount",
        )


def _refuse_more_than_agreed(job: Job, amount: Decimal, on: date) -> None:
    job.refresh_from_db(from_queryset=Job.objects.select_for_update())
    if job.handed_over_on is not None:
        raise Refused(
            f"{job.number} was handed over on {job.handed_over_on}. Enter the money on its invoice.", field="job"
        )
    if on < job.taken_on:
        raise Refused(f"{job.number} was taken on {job.taken_on}, after {on}.", field="on")
    held = money.deposit(job)
    if held + amount > job.price:
        raise Refused(
            f"{job.number} is agreed at {coins_of(job.price)} and {coins_of(held)} is paid; "
            f"{coins_of(amount)} is more than the rest.",
            field="amount",
        )
