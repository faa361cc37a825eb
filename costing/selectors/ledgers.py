"""Lists of money in, of costs, and of hours beside the making, with what they come to; who owes, whose deposits are held."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Model, QuerySet, Sum

from costing.models import Expense, Job, Payment, SideHours
from costing.selectors import money
from costing.selectors.money import Owed

NOTHING = Decimal(0)


def payments() -> QuerySet[Payment]:
    return Payment.objects.select_related("sale", "job", "customer", "reversed_by")


def expenses() -> QuerySet[Expense]:
    return Expense.objects.select_related("sale", "fair", "reversed_by")


def hours() -> QuerySet[SideHours]:
    return SideHours.objects.select_related("reversed_by")


def total(rows: QuerySet[Any], field: str) -> Decimal:
    plain = rows.model._default_manager.filter(pk__in=rows.order_by().values("pk"))
    found: Decimal | None = plain.aggregate(total=Sum(field))["total"]
    return found or NOTHING


def years(model: type[Model]) -> list[int]:
    return sorted((day.year for day in model._default_manager.dates("on", "year")), reverse=True)


def spent_words() -> list[str]:
    """What costs were called before."""
    rows = Expense.objects.exclude(words="").order_by("words").values_list("words", flat=True)
    return list(rows.distinct()[:60])


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
    rows = money.open_sales(on)
    late = [row for row in rows if row.balance.days_late]
    jobs = (
        Job.objects.filter(handed_over_on__isnull=True).select_related("customer", "skin").prefetch_related("payments")
    )
    deposits = []
    for job in jobs.order_by("taken_on", "pk"):
        paid = [row for row in job.payments.all() if row.on <= on]
        held = sum((row.amount for row in paid), NOTHING)
        if held:
            deposits.append(Deposit(job, held, min(row.on for row in paid)))
    return Owing(
        open=rows,
        total=sum((row.balance.left for row in rows), NOTHING),
        late=sum((row.balance.left for row in late), NOTHING),
        deposits=deposits,
        held=money.deposits_held(on),
    )
