"""Money that customers pay and are paid back: for a sale, or before delivery for a job.

Nothing is edited: a mistake is reversed by a linked entry of the same size. Each has a receipt, which is an issued paper.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import partial
from typing import Required, TypedDict, Unpack

from django.contrib.auth.models import User

from costing.sell.jobs.models import Job
from costing.sell.payments import selectors as payments, settlement
from costing.sell.payments.models import Payment
from costing.sell.sales.invoices import selectors as invoices
from costing.sell.sales.models import Sale, Series
from costing.sell.sales.numbering import services as numbering
from inventory.base import checks, services as entries
from inventory.base.checks import coins
from inventory.base.selectors import coins as coins_of
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person, author


@dataclass(frozen=True)
class Frozen:
    """What a receipt says that may change later: whom it names, and of a deposit the work and what it comes to, tax included.

    Given for a receipt that was written before it came here; else it says what is so now, as it does where `agreed` is None.
    """

    seller: dict[str, str]
    buyer: dict[str, str]
    work: str = ""
    agreed: Decimal | None = None


@dataclass(frozen=True)
class Paid:
    """Money that came with the sale; on its day unless another is named. No `amount`: all that is left to pay."""

    amount: Decimal | None = None
    how: str = "cash"
    on: date | None = None


class Money(TypedDict, total=False):
    """What is said of money that moves: how much, when, how, and either the sale or the job that it is for.

    `tax_percent`: of a deposit whose tax fell due when it came, its rate; not said at all, as the terms have it.
    """

    amount: Required[Decimal]
    on: Required[date]
    how: str
    sale: Sale | None
    job: Job | None
    note: str
    tax_percent: Decimal | None
    opening: bool


@service(Act.BOOKS, makes=Payment)
def receive(
    *, as_issued: Frozen | None = None, by: Person = None, request_key: str | None = None, **money: Unpack[Money]
) -> Payment:
    """Money received for a sale, or before delivery for a job: a deposit, owed until the work is handed over."""
    return write(**money, as_issued=as_issued, writer=author(by))


@service(Act.BOOKS, makes=Payment)
def refund(
    *, as_issued: Frozen | None = None, by: Person = None, request_key: str | None = None, **money: Unpack[Money]
) -> Payment:
    """Money paid back: what was paid too much on a sale, or a deposit while its job is not handed over; also in parts."""
    return write(**money, as_issued=as_issued, back=True, writer=author(by))


def write(
    *, as_issued: Frozen | None = None, back: bool = False, writer: User | None, **money: Unpack[Money]
) -> Payment:
    """For services that take money or pay it back inside their transaction. What is paid `back` is negative.

    Either has a receipt with a number. Nothing refuses after that, and what the receipt says is settled for good.
    """
    row = Payment(**money, written_by=writer)
    sale, job = row.sale, row.job
    checks.day(row.on)
    checks.positive(coins(row.amount, "The amount", field="amount"), "The amount", field="amount")
    if row.how not in Payment.How.values:
        raise Refused(f"{row.how!r} is not a way to pay; choose one of {', '.join(Payment.How.values)}.", field="how")
    if row.opening and (job is None or back):
        raise Refused("Only a deposit for a job is taken over from the old books.", field="opening")
    of = sale or job
    if of is None or (sale and job):
        raise Refused("Name either the sale or the job that the money is for.", field="sale")
    row.customer = of.customer
    row.note = checks.text(row.note, "The note", field="note", longest=200)
    if sale is not None and back:
        _refuse_more_than_overpaid(sale, row.amount, row.on)
    elif sale is not None:
        refuse_more_than_owed(sale, row.amount)
    elif job is not None:
        if back:
            _refuse_more_than_held(job, row.amount, row.on)
        else:
            _refuse_more_than_agreed(job, row.amount, row.on, as_issued=as_issued)
    if back:
        row.amount = -row.amount
    # Whose reason to pay no tax is known has none in a deposit; money paid back follows what came.
    taxable = job is not None and not row.opening and (back or not job.customer.relief)
    if job is not None and taxable and "tax_percent" not in money:
        row.tax_percent = payments.deposit_tax(job, row.on, back=back)
    elif sale is not None and row.tax_percent is not None:
        raise Refused("Tax falls due with the money of a deposit only.", field="tax_percent")
    _frozen(row, as_issued).save()
    _settle(row)
    return row


def _settle(row: Payment) -> None:
    if row.sale is not None:
        settlement.settle(row.sale)
    if row.job is not None:
        settlement.settle_job(row.job)


@service(Act.BOOKS, makes=Payment)
def reverse(
    *,
    payment: Payment,
    on: date | None = None,
    as_issued: Frozen | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Payment:
    """A payment that never came, or was never paid back: a linked one of the same size with a number of its own."""
    already = "This payment is reversed already."
    back = entries.reverse(payment, partial(_mirrored, as_issued=as_issued), already=already, on=on, writer=author(by))
    _settle(back)
    return back


def _mirrored(row: Payment, on: date, *, as_issued: Frozen | None) -> Payment:
    if row.amount > 0:
        _refuse_paid_back(row, on)
    elif row.job is not None:
        row.job.refresh_from_db(from_queryset=Job.objects.select_for_update())
        _refuse_beyond_price(row.job, -row.amount, as_issued=as_issued)
    same = {name: getattr(row, name) for name in ("how", "sale", "job", "customer", "tax_percent", "opening")}
    return _frozen(Payment(on=on, amount=-row.amount, note=f"reverses {row.number}", **same), as_issued)


def _frozen(row: Payment, as_issued: Frozen | None) -> Payment:
    row.seller = as_issued.seller if as_issued else invoices.seller()
    row.buyer = as_issued.buyer if as_issued else invoices.buyer(row.customer)
    if row.job is not None:
        row.work, row.agreed = row.job.work, payments.comes_to(row.job).pays
        if as_issued and as_issued.agreed is not None:
            row.work, row.agreed = as_issued.work, as_issued.agreed
    row.sequence, row.number = numbering.take(Series.Kind.RECEIPT)
    return row


def refuse_more_than_owed(sale: Sale, amount: Decimal) -> None:
    """Money that comes for a sale, or is kept back of it, is at most what is left to pay."""
    sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
    if sale.kind == Sale.Kind.CREDIT:
        raise Refused(f"{sale.number} is a credit note; pay it back instead.", field="sale")
    balance = payments.balance(sale, date.max)
    left, lost = balance.left, balance.written_off
    if amount > left:
        told = f"{coins_of(lost)} of it is written off as bad debt: reverse that first. " if lost else ""
        raise Refused(
            f"{coins_of(left)} is the balance due on {sale.number}; {coins_of(amount)} is more. {told}"
            "Enter what was paid for it, and the rest where it belongs.",
            field="amount",
        )


def _refuse_more_than_overpaid(sale: Sale, amount: Decimal, on: date) -> None:
    sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
    if on < sale.on:
        raise Refused(f"{sale.number} is of {sale.on}; nothing was paid back on it on {on}.", field="on")
    held = payments.least_paid(sale, on)
    if amount > held:
        raise Refused(
            f"{sale.number} was paid {coins_of(held)} by {on}; {coins_of(amount)} cannot be paid back. Pay back at most that.",
            field="amount",
        )
    over = payments.balance(sale, date.max).overpaid
    if amount > over:
        raise Refused(
            f"{coins_of(over)} was paid too much on {sale.number}; {coins_of(amount)} is more. "
            "Credit the sale first, or pay back less.",
            field="amount",
        )


def _refuse_more_than_agreed(job: Job, amount: Decimal, on: date, *, as_issued: Frozen | None) -> None:
    _refuse_billed(job)
    if on < job.taken_on:
        raise Refused(f"{job.number} was taken on {job.taken_on}, after {on}.", field="on")
    if job.given_up_on is not None and on > job.given_up_on:
        raise Refused(
            f"{job.number} was cancelled on {job.given_up_on}; no deposit is taken on it after. "
            "Bill what is still to pay, and enter the money there.",
            field="on",
        )
    _refuse_beyond_price(job, amount, as_issued=as_issued)


def _refuse_beyond_price(job: Job, amount: Decimal, *, as_issued: Frozen | None) -> None:
    """Of money that came before it was entered here, the tax of its day is not known any more."""
    held, sums = payments.deposit(job), payments.comes_to(job)
    most = sums.pays if as_issued is None else max(sums.pays, payments.most_due(job))
    if job.handed_over_on is None and held + amount > most:
        with_tax = f" ({coins_of(sums.pays)} with tax)" if sums.pays != job.price else ""
        raise Refused(
            f"{job.number} is agreed at {coins_of(job.price)}{with_tax} and {coins_of(held)} is paid; "
            f"{coins_of(amount)} is more than the rest.",
            field="amount",
        )


def _refuse_more_than_held(job: Job, amount: Decimal, on: date) -> None:
    _refuse_billed(job)
    held = payments.least_held(job, on)
    if amount > held:
        raise Refused(
            f"{coins_of(held)} is held for {job.number} on {on}; {coins_of(amount)} cannot be paid back. "
            "Pay back at most that.",
            field="amount",
        )


def _refuse_billed(job: Job) -> None:
    job.refresh_from_db(from_queryset=Job.objects.select_for_update())
    if job.handed_over_on is not None:
        raise Refused(
            f"{job.number} was handed over on {job.handed_over_on}. Enter the money on its invoice.", field="job"
        )


def _refuse_paid_back(row: Payment, on: date) -> None:
    """What was paid back of it cannot be reversed as well: the sale or the job would have given more than it got."""
    sale, job = row.sale, row.job
    if job is not None:
        job.refresh_from_db(from_queryset=Job.objects.select_for_update())
        sale = payments.billed_by(job)
    if sale is not None:
        sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
        held, of = payments.least_paid(sale, on), sale.number
    elif job is not None:
        held, of = payments.least_held(job, on), job.number
    else:
        return
    if row.amount > held:
        raise Refused(f"Money of {row.number} was paid back on {of} already. Reverse that first.", field="on")
