"""Deliveries as they are listed, the lines of one, and one that another looks like."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet, Sum

from inventory.base.finding import hits
from inventory.deliveries.corrections.models import CorrectedLine
from inventory.deliveries.models import Delivery, DeliveryLine
from inventory.ledger.models import Posting
from inventory.suppliers.models import Supplier


def deliveries() -> QuerySet[Delivery]:
    """Every delivery with `total`, its landed value, and whether it is `corrected`, newest first."""
    return (
        Delivery.objects.select_related("supplier", "order", "posting__reversed_by")
        .annotate(
            total=Sum("posting__movements__value"),
            corrected=Exists(_corrections().filter(line__delivery=OuterRef("pk"))),
        )
        .order_by("-on", "-pk")
    )


def lines(delivery: Delivery) -> QuerySet[DeliveryLine]:
    """With what each put on the shelf: its movement is worth the goods and their share of the carriage."""
    return delivery.lines.select_related("movement__material").order_by("pk")


def paid(delivery: Delivery, lines: Iterable[DeliveryLine]) -> Decimal:
    """All that its bill came to: goods, carriage and the tax that is deducted."""
    return sum((line.goods + line.tax for line in lines), delivery.freight + delivery.tax)


def search(words: str) -> QuerySet[Delivery]:
    """Deliveries by the number on the supplier's paper."""
    return hits(Delivery.objects.select_related("supplier"), words, ("ref",))


def _corrections() -> QuerySet[CorrectedLine]:
    return CorrectedLine.objects.filter(movement__posting__reversed_by__isnull=True)


def correction(delivery: Delivery) -> Posting | None:
    """The entry that took out again what was left of it, where one stands."""
    row = _corrections().filter(line__delivery=delivery).select_related("movement__posting").first()
    return row.movement.posting if row else None


def standing() -> QuerySet[Delivery]:
    """Those that were neither reversed nor corrected."""
    rows = Delivery.objects.filter(posting__reversed_by__isnull=True)
    return rows.exclude(pk__in=_corrections().values("line__delivery"))


def alike(supplier: Supplier, on: date, brought: Iterable[tuple[int, Decimal, Decimal]]) -> Delivery | None:
    """The last that stands of this supplier and day with the same lines: material (id), quantity (base unit), goods (money)."""
    wanted = sorted(brought)
    rows = standing().filter(supplier=supplier, on=on).prefetch_related("lines__movement").order_by("-pk")
    for row in rows:
        lines = [(line.movement.material_id, line.movement.quantity, line.goods) for line in row.lines.all()]
        if sorted(lines) == wanted:
            return row
    return None
