"""Reads of suppliers with what each brought."""

from django.db.models import Count, Max, Q, QuerySet

from inventory.suppliers.models import Supplier


def suppliers() -> QuerySet[Supplier]:
    """Suppliers with how often and when they last delivered (what was reversed left out) and how many skins came."""
    standing = Q(deliveries__posting__reversed_by__isnull=True, deliveries__isnull=False)
    return Supplier.objects.annotate(
        brought=Count("deliveries", filter=standing, distinct=True),
        last=Max("deliveries__on", filter=standing),
        hides=Count("skins", distinct=True),
    ).order_by("name")
