"""Money in and out that is not stock: payments and deposits, selling costs and overheads, and hours that made no piece.

Nothing is edited: a mistake is taken back by a linked entry of the same size.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.contrib.auth.models import User
from django.db import transaction

from costing.models import Expense, Fair, Job, Payment, Sale, Series, SideHours
from costing.selectors import money
from costing.services import series
from inventory.errors import Refused
from inventory.selectors.workshop import coins as coins_of
from inventory.services import checks, requests
from inventory.services.materials import coins
from inventory.services.permits import Act, Person, require

YEAR_MINUTES = 366 * 24 * 60


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
        _refuse_more_than_owed(sale, amount, on)
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


@transaction.atomic
def take_back(
    *, payment: Payment, on: date | None = None, by: Person = None, request_key: str | None = None
) -> Payment:
    """A payment that never came: a linked one of the same size with a number of its own."""
    writer = require(by, Act.BOOKS)
    if done := requests.earlier(request_key, Payment, "take back"):
        return done
    row = Payment.objects.select_for_update(of=("self",)).get(pk=payment.pk)
    if row.reverses_id or Payment.objects.filter(reverses=row).exists():
        raise Refused("This payment is taken back already.")
    day = _back_on(row.on, on)
    if row.sale is not None and row.amount > 0:
        row.sale.refresh_from_db(from_queryset=Sale.objects.select_for_update())
        if row.amount > money.least_paid(row.sale, day):
            raise Refused(
                f"Money of {row.number} was paid back on {row.sale.number} already. Take that back first.", field="on"
            )
    sequence, number = series.take(Series.Kind.RECEIPT)
    back = Payment.objects.create(
        sequence=sequence,
        number=number,
        on=day,
        amount=-row.amount,
        how=row.how,
        sale=row.sale,
        job=row.job,
        customer=row.customer,
        note=f"takes back {row.number}",
        written_by=writer,
        reverses=row,
    )
    return requests.keep(request_key, back)


@transaction.atomic
def spend(
    *,
    kind: str,
    amount: Decimal,
    on: date,
    words: str = "",
    sale: Sale | None = None,
    fair: Fair | None = None,
    withheld: bool = False,
    by: Person = None,
    request_key: str | None = None,
) -> Expense:
    """What selling or the year cost. `withheld`: kept back by who pays for a sale, such as a gallery's fee."""
    writer = require(by, Act.BOOKS)
    if done := requests.earlier(request_key, Expense, "spend"):
        return done
    made = pay_out(kind=kind, amount=amount, on=on, words=words, sale=sale, fair=fair, withheld=withheld, writer=writer)
    return requests.keep(request_key, made)


def pay_out(
    *,
    kind: str,
    amount: Decimal,
    on: date,
    words: str = "",
    sale: Sale | None = None,
    fair: Fair | None = None,
    withheld: bool = False,
    writer: User | None,
) -> Expense:
    """For services that book a cost with a sale, inside their transaction."""
    checks.day(on)
    checks.positive(coins(amount, "The amount", field="amount"), "The amount", field="amount")
    if kind not in Expense.Kind.values:
        raise Refused(f"{kind!r} is no kind of cost; choose one of {', '.join(Expense.Kind.values)}.", field="kind")
    if withheld:
        if sale is None:
            raise Refused("Money is withheld from a sale; name the sale.", field="sale")
        _refuse_more_than_owed(sale, amount, on)
    return Expense.objects.create(
        on=on,
        kind=kind,
        amount=amount,
        words=checks.text(words, "The words", field="words", longest=200),
        sale=sale,
        fair=fair or (sale.fair if sale is not None else None),
        withheld=withheld,
        written_by=writer,
    )


@transaction.atomic
def take_back_expense(
    *, expense: Expense, on: date | None = None, by: Person = None, request_key: str | None = None
) -> Expense:
    writer = require(by, Act.BOOKS)
    if done := requests.earlier(request_key, Expense, "take back"):
        return done
    row = Expense.objects.select_for_update(of=("self",)).get(pk=expense.pk)
    if row.reverses_id or Expense.objects.filter(reverses=row).exists():
        raise Refused("This cost is taken back already.")
    back = Expense.objects.create(
        on=_back_on(row.on, on),
        kind=row.kind,
        amount=-row.amount,
        words=row.words,
        sale=row.sale,
        fair=row.fair,
        withheld=row.withheld,
        written_by=writer,
        reverses=row,
    )
    return requests.keep(request_key, back)


@transaction.atomic
def hours(
    *, kind: str, minutes: Decimal, on: date, words: str = "", by: Person = None, request_key: str | None = None
) -> SideHours:
    """Hours that no skin bears. They may stand for many days (a year's papers), so a day's length is no limit."""
    writer = require(by, Act.BOOKS)
    if done := requests.earlier(request_key, SideHours, "hours"):
        return done
    checks.day(on)
    checks.held(checks.positive(minutes, "The minutes", field="minutes"), field="minutes")
    if minutes > YEAR_MINUTES:
        raise Refused(f"{minutes} minutes are more than a year has.", field="minutes")
    if kind not in SideHours.Kind.values:
        raise Refused(f"{kind!r} is no kind of hours; choose one of {', '.join(SideHours.Kind.values)}.", field="kind")
    made = SideHours.objects.create(
        on=on,
        kind=kind,
        minutes=minutes,
        words=checks.text(words, "The words", field="words", longest=80),
        written_by=writer,
    )
    return requests.keep(request_key, made)


@transaction.atomic
def take_back_hours(
    *, row: SideHours, on: date | None = None, by: Person = None, request_key: str | None = None
) -> SideHours:
    writer = require(by, Act.BOOKS)
    if done := requests.earlier(request_key, SideHours, "take back"):
        return done
    held = SideHours.objects.select_for_update(of=("self",)).get(pk=row.pk)
    if held.reverses_id or SideHours.objects.filter(reverses=held).exists():
        raise Refused("These hours are taken back already.")
    back = SideHours.objects.create(
        on=_back_on(held.on, on),
        kind=held.kind,
        minutes=-held.minutes,
        words=held.words,
        written_by=writer,
        reverses=held,
    )
    return requests.keep(request_key, back)


def _refuse_unknown_way(how: str) -> None:
    if how not in Payment.How.values:
        raise Refused(f"{how!r} is no way to pay; choose one of {', '.join(Payment.How.values)}.", field="how")


def _back_on(happened: date, on: date | None) -> date:
    day = checks.day(on or happened)
    if day < happened:
        raise Refused(f"An entry of {happened} cannot be taken back on {day}, before it happened.", field="on")
    return day


def _refuse_more_than_owed(sale: Sale, amount: Decimal, on: date) -> None:
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
