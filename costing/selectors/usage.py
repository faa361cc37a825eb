"""Which batch used what in a month."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Sum

from inventory.models import Kind, Material, Movement


@dataclass(frozen=True)
class BatchUse:
    """`batch` is its number, or "skins" for what went straight on raw skins. Quantity in the material's base unit."""

    batch: str
    material: Material
    quantity: Decimal
    value: Decimal


def by_batch(month: int) -> list[BatchUse]:
    """Put in work in the month, by batch and material; a taken-back use cancels within its month."""
    rows = (
        Movement.objects.filter(month=month, kind=Kind.USE)
        .order_by()
        .values("posting__use__batch__number", "posting__reverses__use__batch__number", "material")
        .annotate(q=Sum("quantity"), v=Sum("value"))
    )
    sums: dict[tuple[str, int], list[Decimal]] = {}
    for row in rows:
        batch = row["posting__use__batch__number"] or row["posting__reverses__use__batch__number"] or "skins"
        cell = sums.setdefault((batch, row["material"]), [Decimal(0), Decimal(0)])
        cell[0] -= row["q"]
        cell[1] -= row["v"]
    materials = Material.objects.in_bulk({pk for _, pk in sums})
    found = [
        BatchUse(batch, materials[pk], quantity, value)
        for (batch, pk), (quantity, value) in sums.items()
        if quantity or value
    ]
    return sorted(found, key=lambda use: (use.batch, use.material.name))
