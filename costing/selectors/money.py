"""What is paid, what is owed and since when, and whose deposits are held. The sums are `costing.owing`'s."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import accumulate

from django.db.models import Prefetch, QuerySet

from costing import owing
from costing.models import Expense, Job, Payment, Sale, SaleLine

NOTHING = Decimal(0)
WITHHELD = "withheld"


def settled() -> QuerySet[Sale]:
    """Sales with everything at hand that settles them."""
    return Sale.objects.select_related("customer").prefetch_related(
        "payments",
        "credited_by",
        Prefetch("expenses", queryset=Expense.objects.filter(withheld=True)),
        Prefetch("lines", queryset=SaleLine.objects.select_related("job").order_by("position")),
        "lines__job__payments",
        "lines__job__sale_lines__sale",
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
    """What settled it, each on its day; a deposit counts from the hand-over, until a credit takes the hand-over back."""
    found = [owing.Payment(row.on, row.amount, row.how) for row in sale.payments.all()]
    found += [owing.Payment(row.on, row.amount, WITHHELD) for row in sale.expenses.all() if row.withheld]
    for line in sale.lines.all():
        if line.job is not None:
            found += deposits_for(sale, line.job)
    return found


def deposits_for(sale: Sale, job: Job) -> list[owing.Payment]:
    """What a job's deposits did for one paper: set off from its day on, and a deposit again from its credit on."""
    ends = next((until for paper, until in billings(job) if paper.pk == sale.pk), None)
    rows = list(job.payments.all())
    found = [owing.Payment(max(row.on, sale.on), row.amount, "deposit") for row in rows]
    if ends is not None:
        found += [owing.Payment(max(row.on, ends), -row.amount, "deposit") for row in rows]
    return found


def billings(job: Job) -> list[tuple[Sale, date | None]]:
    """The papers that billed a job, the first one first, each with the day its whole line was credited (None: it stands)."""
    lines = sorted(job.sale_lines.all(), key=lambda line: line.pk)
    found: list[tuple[Sale, date | None]] = []
    for line in lines:
        if line.sale.kind == Sale.Kind.CREDIT:
            continue
        # Price cuts leave a line standing; of a line that fell, the last credit is the one that took it back.
        back = [other.sale.on for other in lines if other.sale.credits_id == line.sale_id]
        found.append((line.sale, None if line.standing else max(back, default=None)))
    return found


def least_paid(sale: Sale, on: date) -> Decimal:
    """The least that had come for it, deposits set off among it, at the end of that day or of any later one.

    That much may be paid back then. Of what a payer kept back nothing ever came.
    """
    return _least([(row.on, row.amount) for row in settlements(sale) if row.how != WITHHELD], on)


def owed_back(sale: Sale, on: date) -> Decimal:
    """What was paid too much on it and can be paid back on a day."""
    return max(min(balance(sale, date.max).overpaid, least_paid(sale, on)), NOTHING)


def least_held(job: Job, on: date) -> Decimal:
    """The least of the customer's money that was held for a job at the end of that day or of any later one."""
    return _least([(row.on, row.amount) for row in job.payments.all()], on)


def _least(rows: Iterable[tuple[date, Decimal]], on: date) -> Decimal:
    days: dict[date, Decimal] = {on: NOTHING}
    for when, amount in rows:
        day = max(when, on)
        days[day] = days.get(day, NOTHING) + amount
    return min(accumulate(days[day] for day in sorted(days)))


def billed_by(job: Job) -> Sale | None:
    """The paper that billed a job and still stands."""
    line = SaleLine.objects.filter(job=job, standing=True).select_related("sale").first()
    return line.sale if line else None


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
    rows = Payment.objects.filter(job__isnull=False).select_related("job")
    return owing.deposits_held(_deposits(rows.prefetch_related("job__sale_lines__sale")), on)


def _deposits(rows: Iterable[Payment]) -> list[owing.Deposit]:
    """Each payment for as long as it was a deposit: until the hand-over, and again from a credit to the next one."""
    found = []
    for row in rows:
        if row.job is None:
            continue
        begins: date | None = row.on
        for paper, until in billings(row.job):
            if begins is not None:
                found.append(owing.Deposit(row.job.number, begins, row.amount, paper.on))
            begins = None if until is None else max(until, row.on)
        if begins is not None:
            found.append(owing.Deposit(row.job.number, begins, row.amount))
    return found
