"""Suppliers: their names, and what each of them brought."""

from django.db.models import Count, Max, Q, QuerySet

from inventory.base.finding import hits
from inventory.deliveries.corrections.models import CorrectedLine
from inventory.suppliers.models import Supplier


def supplier_names() -> list[str]:
    return list(Supplier.objects.order_by("name").values_list("name", flat=True))


def suppliers() -> QuerySet[Supplier]:
    """Suppliers with how often and when they last delivered (what was reversed or corrected left out) and how many skins came."""
    corrected = CorrectedLine.objects.filter(movement__posting__reversed_by__isnull=True).values("line__delivery")
    standing = Q(deliveries__posting__reversed_by__isnull=True, deliveries__isnull=False)
    standing &= ~Q(deliveries__in=corrected)
    return Supplier.objects.annotate(
        brought=Count("deliveries", filter=standing, distinct=True),
        last=Max("deliveries__on", filter=standing),
        hides=Count("skins", distinct=True),
    ).order_by("name")


def search(words: str) -> QuerySet[Supplier]:
    return hits(Supplier.objects.all(), words, ("name", "note"))
