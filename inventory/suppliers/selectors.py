"""Reads of suppliers for forms."""

from inventory.suppliers.models import Supplier


def supplier_names() -> list[str]:
    return list(Supplier.objects.order_by("name").values_list("name", flat=True))
