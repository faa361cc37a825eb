"""What is paid, what is owed and since when, and whose deposits are held. The sums are `costing.owing`'s."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch, QuerySet

from costing import owing
from costing.models import Expense, Job, Payment, Sale, SaleLine

NOTHING = Decimal(0)


def settled() -> QuerySet[Sale]:
    """Sales with everything at hand that settles them."""
    return Sale.objects.select_related("customer").prefetch_related(
        "payments",
        "credited_by",
        Prefetch("expenses", queryset=Expense.objects.filter(withheld=True)),
        Prefetch("lines", queryset=SaleLine.objects.select_related("job").order_by("position")),
        "lines__job__payments",
    )


def balance(sale: Sale, on: date) -> owing.Balance:
    """How a sale stands at the end of a day: total less payments, deposits of its jobs, what was withheld, and credits."""
    return owing.balance(
        sale.gross,
        settlements(sale),
        [(credit.on, credit.gross) for credit in sale.credited_by.all()],
        due_on=sale.due_on or sale.on,
        on=on,
    )


def settlements(sale: Sale) -> list[owing.Payment]:
    """What settled it, each on its day; a deposit counts from the day of the hand-over."""
    found = [owing.Payment(row.on, row.amount, row.how) for row in sale.payments.all()]
    found += [owing.Payment(row.on, row.amount, "withheld") for row in sale.expenses.all() if row.withheld]
    for line in sale.lines.all():
        if line.job is not None:
            found += [owing.Payment(max(row.on, sale.on), row.amount, "deposit") for row in line.job.payments.all()]
    return found


def paid(sale: Sale, on: date) -> Decimal:
    """Money really received for it by a day, what was paid back taken off."""
    return sum((row.amount for row in sale.payments.filter(on__lte=on)), NOTHING)


@dataclass(frozen=True)
class Owed:
    sale: Sale
    balance: owing.Balance


def open_sales(on: date) -> list[Owed]:
    """Who owes me and since when: papers with something left at the end of a day, the longest due first."""
    rows = settled().filter(on__lte=on).exclude(kind=Sale.Kind.CREDIT)
    found = [Owed(row, balance(row, on)) for row in rows]
    return sorted(
        (each for each in found if each.balance.left), key=lambda each: (each.balance.due_on, each.sale.number)
    )


def deposit(job: Job) -> Decimal:
    """What is paid towards a job so far."""
    return sum((row.amount for row in job.payments.all()), NOTHING)


def deposits_held(on: date) -> Decimal:
    """Money taken for work not handed over by the end of a day."""
    return owing.deposits_held(_deposits(Payment.objects.filter(job__isnull=False).select_related("job")), on)


def _deposits(rows: Iterable[Payment]) -> list[owing.Deposit]:
    return [
        owing.Deposit(row.job.number, row.on, row.amount, row.job.handed_over_on) for row in rows if row.job is not None
    ]
