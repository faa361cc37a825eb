"""Reads of the shelf for its pages: what stands there, what it is worth, how full, how long it lasts, and how it came.

How long it lasts is by own average use only; what planned batches need is joined upstairs.
"""

from __future__ import annotations

from decimal import Decimal

from django.db.models import QuerySet, Sum

from inventory.materials.models import Material


def total_value(rows: QuerySet[Material]) -> Decimal:
    """Book value of the materials in `rows`, all pages of them."""
    return rows.order_by().aggregate(total=Sum("value"))["total"] or Decimal(0)
