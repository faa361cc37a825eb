"""The day each paper was settled, checked from all that was ever written of it: sums and last days, not balances."""

from collections import defaultdict
from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from django.db.models import Max

from costing.sell.debts.write_offs.models import WriteOff
from costing.sell.expenses.models import Expense
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale, SaleLine
from inventory.money import ZERO

Event = tuple[int, date, Decimal]  # a paper, and what was added to what is owed on it that day


def findings() -> Iterator[str]:
    """Every paper that is kept as settled on another day than its entries say, or as open when it is not."""
    left: dict[int, Decimal] = defaultdict(Decimal)
    last: dict[int, date] = {}
    for paper, on, amount in _events():
        left[paper] += amount
        last[paper] = max(on, last.get(paper, on))
    for row in Sale.objects.order_by("pk").only("number", "kind", "settled_on"):
        told = last[row.pk] if row.kind != Sale.Kind.CREDIT and left[row.pk] == ZERO else None
        if row.settled_on != told:
            yield f"{row.number} is kept as {_words(row.settled_on)}; its entries say {_words(told)}."


def _words(day: date | None) -> str:
    return f"settled on {day}" if day else "open"


def _events() -> Iterator[Event]:
    papers = Sale.objects.exclude(kind=Sale.Kind.CREDIT)
    yield from papers.values_list("pk", "on", "gross")
    for paper, on, gross in Sale.objects.filter(credits__isnull=False).values_list("credits", "on", "gross"):
        yield paper or 0, on, gross
    for paper, on, amount in Payment.objects.filter(sale__isnull=False).values_list("sale", "on", "amount"):
        yield paper or 0, on, -amount
    for row in Expense.objects.filter(withheld=True):
        yield row.sale_id or 0, row.on, -row.paid
    for paper, on, amount in WriteOff.objects.values_list("sale", "on", "amount"):
        yield paper, on, -amount
    yield from _set_off()


def _set_off() -> Iterator[Event]:
    """A deposit counts from the hand-over on, and no more from the last credit that took the hand-over back."""
    deposits: dict[int, list[tuple[date, Decimal]]] = defaultdict(list)
    for job, on, amount in Payment.objects.filter(job__isnull=False).values_list("job", "on", "amount"):
        deposits[job].append((on, amount))
    billed = SaleLine.objects.filter(job__isnull=False).exclude(sale__kind=Sale.Kind.CREDIT).order_by()
    lines = billed.annotate(back=Max("credit_lines__sale__on"))
    for paper, on, job, standing, back in lines.values_list("sale", "sale__on", "job", "standing", "back"):
        for when, amount in deposits[job or 0]:
            yield paper, max(when, on), -amount
            if not standing and back:
                yield paper, max(when, back), amount
