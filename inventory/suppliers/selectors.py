"""Reads of the shelf for its pages: what stands there, what it is worth, how full, how long it lasts, and how it came.

How long it lasts is by own average use only; what planned batches need is joined upstairs.
"""

from inventory.suppliers.models import Supplier


def supplier_names() -> list[str]:
    return list(Supplier.objects.order_by("name").values_list("name", flat=True))
