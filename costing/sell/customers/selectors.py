"""Customers: the list with what they owe, and one with their papers."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.db.models import Count, IntegerField, Max, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from costing.sell.customers.models import Customer
from costing.sell.jobs.models import Job
from costing.sell.payments import selectors as payments
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale
from inventory.base.finding import hits
from inventory.models import Skin
from inventory.money import ZERO


def listed() -> QuerySet[Customer]:
    """Every customer by name, with how many jobs and papers they have."""
    return Customer.objects.annotate(
        job_count=_count(Job.objects.filter(customer=OuterRef("pk"))),
        sale_count=_count(Sale.objects.filter(customer=OuterRef("pk"))),
    ).order_by("name")


def _count(rows: QuerySet[Job] | QuerySet[Sale]) -> Coalesce:
    found = rows.order_by().values("customer").annotate(of=Count("pk")).values("of")
    return Coalesce(Subquery(found, output_field=IntegerField()), 0)


def owed_by(customers: Iterable[Customer], on: date) -> dict[int, Decimal]:
    """By customer id: what is left of their papers at the end of a day."""
    left: dict[int, Decimal] = defaultdict(Decimal)
    for sale in payments.unsettled(on).filter(customer__in=list(customers), on__lte=on):
        left[sale.customer_id or 0] += payments.balance(sale, on).left
    return left


def papers_of(customer: Customer) -> QuerySet[Sale]:
    """Sales and credits, the last one first."""
    return payments.settled().filter(customer=customer).order_by("-on", "-pk")


def billed(customer: Customer) -> Decimal:
    """What all their papers come to, less credits."""
    return Sale.objects.filter(customer=customer).aggregate(total=Sum("gross"))["total"] or ZERO


def deposits_of(customer: Customer) -> Decimal:
    """What is paid towards jobs that are not handed over."""
    held = Payment.objects.filter(job__customer=customer, job__handed_over_on__isnull=True)
    return sum(held.values_list("amount", flat=True), ZERO)


def buyers() -> QuerySet[Customer]:
    """Customers with the key of the last paper that each `bought` by."""
    return Customer.objects.annotate(bought=Max("sales__pk"))


def names() -> list[str]:
    return list(Customer.objects.values_list("name", flat=True))


def tags_of(customer: Customer) -> list[str]:
    """Tags of the skins on which the name of a customer is written."""
    named = Skin.objects.filter(owner=Skin.Owner.CUSTOMER, customer__iexact=customer.name).order_by("tag")
    return list(named.values_list("tag", flat=True))


def search(words: str) -> QuerySet[Customer]:
    return hits(Customer.objects.all(), words, ("name", "postal_address", "electronic_address", "note"))
