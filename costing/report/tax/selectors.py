"""What a tax report is made of: lines sold and credited, deposits whose tax fell due with the money, and what was bought.

A sale counts on its day of supply, a purchase on the day it is in the books, a mistake on the day it was reversed. The number
of queries does not grow with sales or purchases.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum

from costing.report.tax.rules import Span
from costing.sell.bills import selectors as bills
from costing.sell.expenses.models import Expense
from costing.sell.jobs.models import Job
from costing.sell.payments import rules as payment_rules, selectors as payments
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.tax.rules import RateTotal, added
from inventory.base import selectors as workshop
from inventory.models import Delivery, Skin
from inventory.money import ZERO

UNREGISTERED = "not registered"
RECEIVED, BILLED = "deposit received", "deposit billed"
NO_TAX = "no tax deducted"


@dataclass(frozen=True)
class Told:
    """A total at one rate of one paper, and where it was sold. `credit`: it takes something back."""

    paper: Sale
    place: str
    total: RateTotal

    @property
    def credit(self) -> bool:
        return self.paper.kind == Sale.Kind.CREDIT


def sold(span: Span) -> list[Told]:
    """What each paper comes to at each rate; credits below zero."""
    rows = (
        SaleLine.objects.filter(sale__on__range=(span.first, span.last))
        .exclude(sale__kind=Sale.Kind.OPENING)
        .order_by()
        .values_list("sale", "tax_percent", "relief")
        .annotate(net=Sum("net"), tax=Sum("tax"), gross=Sum("gross"))
    )
    papers = (
        Sale.objects.filter(on__range=(span.first, span.last))
        .exclude(kind=Sale.Kind.OPENING)
        .select_related("customer", "channel", "fair", "credits")
    )
    known = {paper.pk: paper for paper in papers.order_by("on", "pk")}
    place = {pk: number for number, pk in enumerate(known)}
    told = []
    for pk, percent, relief, net, tax, gross in sorted(rows, key=lambda row: (place[row[0]], -row[1], row[2])):
        paper = known[pk]
        rate, reason = (percent.normalize(), relief) if paper.taxed else (ZERO, UNREGISTERED)
        told.append(Told(paper, _place(paper), RateTotal(rate, net, tax, gross, reason)))
    return told


def _place(paper: Sale) -> str:
    if paper.fair is not None:
        return paper.fair.name
    return paper.channel.name if paper.channel is not None else ""


def deposits(span: Span) -> list[RateTotal]:
    """Tax that fell due with the money, less what a paper that bills the work says of it again; undone by its credit."""
    jobs = Job.objects.filter(Q(payments__tax_percent__isnull=False)).distinct()
    found: list[RateTotal] = []
    for job in jobs.prefetch_related("payments", "sale_lines__sale"):
        rows = [row for row in job.payments.all() if row.tax_percent is not None]
        found += [_part(row, RECEIVED) for row in rows if span.first <= row.on <= span.last]
        for paper, until in payments.billings(job):
            for row in rows:
                if span.first <= max(row.on, paper.on) <= span.last:
                    found.append(-_part(row, BILLED))
                if until is not None and span.first <= max(row.on, until) <= span.last:
                    found.append(_part(row, BILLED))
    return [each for each in added(found) if each.gross or each.tax]


def _part(row: Payment, reason: str) -> RateTotal:
    rate = row.tax_percent or ZERO
    found = payment_rules.deposit_taxed(row.amount, rate, workshop.places())
    return RateTotal(rate.normalize(), found.net, found.vat, found.gross, reason)


@dataclass(frozen=True)
class Purchase:
    """One rate of a bill: what was bought, of whom, without and with the tax that is deducted. `rate` None: none is."""

    on: date
    what: str
    whom: str
    paper: str
    rate: Decimal | None
    net: Decimal
    tax: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.tax

    def back(self, on: date) -> "Purchase":
        return replace(self, on=on, net=-self.net, tax=-self.tax)


def bought(span: Span) -> list[Purchase]:
    """Goods, skins and costs, the first day first. What was reversed or corrected counts below zero on that day."""
    rows = [*_goods(span), *_skins(span), *_costs(span)]
    return sorted((row for row in rows if row.net or row.tax), key=lambda row: (row.on, row.what, row.paper))


def _goods(span: Span) -> Iterator[Purchase]:
    within = (span.first, span.last)
    undone = bills.undone()
    rows = Delivery.objects.filter(Q(on__range=within) | Q(pk__in=undone)).select_related("supplier")
    for row in rows.prefetch_related("lines__movement").order_by("on", "pk"):
        parts: dict[Decimal | None, tuple[Decimal, Decimal]] = {}
        lines = [(line.tax_percent, line.goods, line.tax) for line in row.lines.all()]
        for rate, net, tax in (*lines, (row.tax_percent, row.freight, row.tax)):
            key = rate.normalize() if rate else None
            was = parts.get(key, (ZERO, ZERO))
            parts[key] = (was[0] + net, was[1] + tax)
        for rate, (net, tax) in parts.items():
            one = Purchase(row.on, "goods", row.supplier.name, row.ref, rate, net, tax)
            days = [
                (row.on, one),
                *((on, one.back(on) if gone else replace(one, on=on)) for on, gone in undone.get(row.pk, ())),
            ]
            yield from (each for on, each in days if span.first <= on <= span.last)


def _skins(span: Span) -> Iterator[Purchase]:
    came = Skin.objects.filter(owner=Skin.Owner.MINE, opening=False, date_in__range=(span.first, span.last))
    rows = came.select_related("supplier")
    for row in rows.order_by("date_in", "tag"):
        whom = row.supplier.name if row.supplier else ""
        yield Purchase(row.date_in, "skins", whom, row.tag, _rate(row.tax_percent), row.price, row.tax)


def _costs(span: Span) -> Iterator[Purchase]:
    for row in Expense.objects.filter(on__range=(span.first, span.last)).order_by("on", "pk"):
        yield Purchase(
            row.on, "costs", row.words or row.get_kind_display(), "", _rate(row.tax_percent), row.amount, row.tax
        )


def _rate(percent: Decimal | None) -> Decimal | None:
    return percent.normalize() if percent else None


def by_rate(rows: Iterable[Purchase]) -> list[RateTotal]:
    """Purchases by rate, those without deductible tax last."""
    return list(
        added(RateTotal(row.rate or ZERO, row.net, row.tax, row.gross, "" if row.rate else NO_TAX) for row in rows)
    )


@dataclass(frozen=True)
class Unproved:
    """How many deliveries and costs of a span have no bill kept."""

    deliveries: int
    costs: int


def without_bill(span: Span) -> Unproved:
    within = (span.first, span.last)
    goods = Delivery.objects.filter(on__range=within, bill="", posting__reversed_by__isnull=True)
    costs = Expense.objects.filter(on__range=within, bill="", reverses__isnull=True, reversed_by__isnull=True)
    return Unproved(goods.count(), costs.count())
