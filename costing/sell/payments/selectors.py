"""What settles a paper and what is left of it, what is held for a job, who owes and is owed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import accumulate
from typing import Any

from django.db.models import Exists, Min, OuterRef, Prefetch, Q, QuerySet, Sum

from costing.make.cost.rates import selectors as rates
from costing.make.labour.models import LabourLine
from costing.sell.expenses.models import Expense
from costing.sell.jobs.models import Job
from costing.sell.payments import rules as payments_rules
from costing.sell.payments.models import Payment
from costing.sell.pricing import selectors as pricing
from costing.sell.pricing.rules import Footing, Meaning
from costing.sell.rounding.rules import with_vat
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.terms.selectors import terms
from inventory.base import selectors as workshop
from inventory.base.finding import hits
from inventory.money import ZERO

WITHHELD = "withheld"
Days = list[tuple[date, Decimal]]


def settled(*of_lines: str) -> QuerySet[Sale]:
    """Sales with everything at hand that settles them. `of_lines`: what is read along with their lines."""
    return Sale.objects.select_related("customer").prefetch_related(
        "payments",
        Prefetch("credited_by", queryset=Sale.objects.order_by("on", "pk")),
        "write_offs",
        Prefetch("expenses", queryset=Expense.objects.filter(withheld=True)),
        Prefetch("lines", queryset=SaleLine.objects.select_related("job", *of_lines).order_by("position")),
        "lines__job__payments",
        Prefetch("lines__job__sale_lines", queryset=SaleLine.objects.select_related("sale")),
    )


def unsettled(on: date) -> QuerySet[Sale]:
    """Papers that were not settled for good by the end of a day, later ones among them, with everything that settles them."""
    return settled().exclude(kind=Sale.Kind.CREDIT).exclude(settled_on__lte=on)


def balance(sale: Sale, on: date) -> payments_rules.Balance:
    """How a sale stands at the end of a day: total less payments, deposits of its jobs, what was withheld, credits, bad debts."""
    return payments_rules.balance(*_all_of(sale), due_on=sale.due_on or sale.on, on=on)


def left(sale: Sale, on: date) -> Decimal:
    """What is left of it; of one that was settled by then nothing, and nothing that settled it need be at hand."""
    if sale.settled_on is not None and sale.settled_on <= on:
        return ZERO
    return balance(sale, on).left


def settled_on(sale: Sale) -> date | None:
    """The day from which its balance is nothing, worked out from what settled it."""
    return payments_rules.settled_on(*_all_of(sale), on=sale.on)


def _all_of(sale: Sale) -> tuple[Decimal, list[payments_rules.Payment], Days, Days]:
    credits = [(credit.on, credit.gross) for credit in sale.credited_by.all()]
    return sale.gross, settlements(sale), credits, [(row.on, row.amount) for row in sale.write_offs.all()]


def settlements(sale: Sale) -> list[payments_rules.Payment]:
    """What settled it, each on its day; a deposit counts from the hand-over, until a credit takes the hand-over back."""
    found = [payments_rules.Payment(row.on, row.amount, row.how) for row in sale.payments.all()]
    found += [payments_rules.Payment(row.on, row.paid, WITHHELD) for row in sale.expenses.all() if row.withheld]
    for line in sale.lines.all():
        if line.job is not None:
            found += deposits_for(sale, line.job)
    return found


def deposits_for(sale: Sale, job: Job) -> list[payments_rules.Payment]:
    """What a job's deposits did for one paper: set off from its day on, and a deposit again from its credit on."""
    ends = next((until for paper, until in billings(job) if paper.pk == sale.pk), None)
    rows = list(job.payments.all())
    found = [payments_rules.Payment(max(row.on, sale.on), row.amount, "deposit") for row in rows]
    if ends is not None:
        found += [payments_rules.Payment(max(row.on, ends), -row.amount, "deposit") for row in rows]
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


def deposit_tax(job: Job, on: date, *, back: bool) -> Decimal | None:
    """The rate of the tax that falls due with money for a job; None where it falls due with the paper that bills the work.

    Money paid back has the rate of what came before it, so that the two cancel out.
    """
    if back:
        came = job.payments.filter(amount__gt=0, on__lte=on).order_by("-on", "-pk").first()
        return came.tax_percent if came else None
    own = terms()
    return rates.at(on).vat_percent if own.taxed and own.deposit_tax else None


def least_paid(sale: Sale, on: date) -> Decimal:
    """The least that had come for it, deposits set off among it, at the end of that day or of any later one.

    That much may be paid back then. Of what a payer kept back nothing ever came.
    """
    return _least([(row.on, row.amount) for row in settlements(sale) if row.how != WITHHELD], on)


def owed_back(sale: Sale, on: date) -> Decimal:
    """What was paid too much on it and can be paid back on a day."""
    return max(min(balance(sale, date.max).overpaid, least_paid(sale, on)), ZERO)


def least_held(job: Job, on: date) -> Decimal:
    """The least of the customer's money that was held for a job at the end of that day or of any later one."""
    return _least([(row.on, row.amount) for row in job.payments.all()], on)


def _least(rows: Iterable[tuple[date, Decimal]], on: date) -> Decimal:
    days: dict[date, Decimal] = {on: ZERO}
    for when, amount in rows:
        day = max(when, on)
        days[day] = days.get(day, ZERO) + amount
    return min(accumulate(days[day] for day in sorted(days)))


def billed_by(job: Job) -> Sale | None:
    """The paper that billed a job and still stands."""
    line = SaleLine.objects.filter(job=job, standing=True).select_related("sale").first()
    return line.sale if line else None


@dataclass(frozen=True)
class Owed:
    sale: Sale
    balance: payments_rules.Balance


def balanced(rows: Iterable[Sale], on: date) -> list[Owed]:
    """Papers that are `settled`, in their order, with how each stands at the end of a day."""
    return [Owed(row, balance(row, on)) for row in rows]


def open_sales(on: date) -> list[Owed]:
    """Who owes me and since when: papers with something left at the end of a day, the longest due first."""
    found = balanced(unsettled(on).filter(on__lte=on), on)
    return sorted(
        (each for each in found if each.balance.left), key=lambda each: (each.balance.due_on, each.sale.number)
    )


def deposit(job: Job) -> Decimal:
    """What is paid towards a job so far."""
    return sum((row.amount for row in job.payments.all()), ZERO)


def comes_to(job: Job, footed: Footing | None = None) -> Meaning:
    """What the agreed price of a job comes to today: its tax with it where prices are without, none for an exempt customer."""
    return pricing.meaning(job.price, relief=job.customer.relief, footed=footed)


def most_due(job: Job) -> Decimal:
    """The most that a job can have come to, whatever the tax was when money was paid for it."""
    highest = max((row.vat_percent for row in rates.history().rows), default=ZERO)
    return with_vat(job.price, highest, workshop.places()).gross


def deposits_held(on: date) -> Decimal:
    """Money taken for work that no paper bills at the end of a day. It is a debt until the hand-over, and again from its credit."""
    return sum((row.amount for row in held(on)[0]), ZERO)


def held(*days: date) -> list[list[Payment]]:
    """The deposits of it, and what was paid back of them. One from before the books began was held on every day of theirs.

    What was handed over by the first of the days, and not taken back since, is billed on all of them.
    """
    rows = Payment.objects.filter(Q(opening=True) | Q(on__lte=max(days)), job__isnull=False).select_related("job")
    rows = rows.exclude(job__handed_over_on__lte=min(days)).prefetch_related(
        Prefetch("job__sale_lines", queryset=SaleLine.objects.select_related("sale"))
    )
    return [[row for row in rows if row.job and _counts(row, day) and not _billed(row.job, day)] for day in days]


def _counts(row: Payment, on: date) -> bool:
    return row.opening or row.on <= on


def _billed(job: Job, on: date) -> bool:
    return any(paper.on <= on and (until is None or on < until) for paper, until in billings(job))


def payments() -> QuerySet[Payment]:
    return Payment.objects.select_related("sale", "job", "customer", "reversed_by")


@dataclass(frozen=True)
class Deposit:
    job: Job
    held: Decimal
    since: date


@dataclass(frozen=True)
class Owing:
    """Who owes the workshop at the end of a day, and what the workshop owes back: deposits on work not handed over."""

    open: list[Owed]
    total: Decimal
    late: Decimal
    deposits: list[Deposit]
    held: Decimal


def owing(on: date) -> Owing:
    rows = open_sales(on)
    late = [row for row in rows if row.balance.days_late]
    jobs = Job.objects.filter(handed_over_on__isnull=True, payments__on__lte=on)
    jobs = jobs.annotate(held=Sum("payments__amount"), since=Min("payments__on")).exclude(held=0)
    return Owing(
        open=rows,
        total=sum((row.balance.left for row in rows), ZERO),
        late=sum((row.balance.left for row in late), ZERO),
        deposits=[
            Deposit(job, job.held, job.since)
            for job in jobs.select_related("customer", "skin").order_by("taken_on", "pk")
        ],
        held=deposits_held(on),
    )


def holds_money(**_: Any) -> bool:
    """Answers `inventory.base.signals.money_sought`: a paper, a payment, a cost, a price agreed, paid help."""
    rows = (
        Sale.objects.all(),
        Payment.objects.all(),
        Expense.objects.all(),
        Job.objects.filter(price__gt=0),
        LabourLine.objects.filter(paid__gt=0),
    )
    return any(row.exists() for row in rows)


def of_job(job: Job) -> QuerySet[Payment]:
    """What was paid for a job; `taken` marks what was reversed."""
    back = Payment.objects.filter(reverses=OuterRef("pk"))
    return job.payments.annotate(taken=Exists(back)).order_by("on", "pk")


def expected(of: Sale | Job, on: date) -> Decimal:
    """The money that is due next: the balance of a sale, or what is missing of the deposit of a job."""
    return balance(of, on).left if isinstance(of, Sale) else max(of.deposit - deposit(of), ZERO)


def owed_back_on(of: Sale | Job, on: date) -> Decimal:
    """What may be paid back: what was paid too much on a sale, or the deposit held for a job not handed over."""
    if isinstance(of, Sale):
        return owed_back(of, on)
    return ZERO if of.handed_over_on else least_held(of, on)


def search(words: str) -> QuerySet[Payment]:
    """Receipts by number, and by the paper or job that was paid."""
    return hits(payments(), words, ("number", "sale__number", "job__number", "note"))
