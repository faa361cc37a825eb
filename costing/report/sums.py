"""Many sums in one query: a page that adds up ten kinds of entries asks the database once."""

from decimal import Decimal
from typing import Any

from django.db.models import CharField, QuerySet, Sum, Value

from inventory.money import ZERO


def sums(**wanted: tuple[QuerySet[Any], str]) -> dict[str, Decimal]:
    """By name: what a field of some entries comes to, nothing where there are none. Fields of whole thousandths."""
    rows = [
        rows.order_by().values(of=Value(name, CharField())).annotate(total=Sum(field)).values_list("of", "total")
        for name, (rows, field) in wanted.items()
    ]
    return {name: total or ZERO for name, total in rows[0].union(*rows[1:], all=True)}
