"""Reads of deliveries: the list, and each line with its landed cost."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import QuerySet, Sum

from inventory.deliveries.models import Delivery
from inventory.ledger.models import Movement
from inventory.materials.models import Material


@dataclass(frozen=True)
class LandedLine:
    """One line of a delivery with what it cost on the shelf. Money; `quantity` in the material's base unit."""

    material: Material
    movement: Movement
    packs: Decimal
    pack_quantity: Decimal
    pack_price: Decimal
    goods: Decimal
    carriage: Decimal
    value: Decimal


@dataclass(frozen=True)
class Landed:
    """A delivery with its lines and sums."""

    delivery: Delivery
    lines: tuple[LandedLine, ...]
    goods: Decimal
    carriage: Decimal
    total: Decimal


def deliveries() -> QuerySet[Delivery]:
    """Every delivery with `total`, its landed value, newest first."""
    return (
        Delivery.objects.select_related("supplier", "posting__reversed_by")
        .annotate(total=Sum("posting__movements__value"))
        .order_by("-on", "-pk")
    )


def landed(delivery: Delivery) -> Landed:
    """The delivery's lines with their share of the carriage and the unit cost it gave."""
    rows = delivery.lines.select_related("movement__material").order_by("pk")
    lines = tuple(
        LandedLine(
            material=row.movement.material,
            movement=row.movement,
            packs=row.packs,
            pack_quantity=row.pack_quantity,
            pack_price=row.pack_price,
            goods=row.movement.value - row.carriage_share,
            carriage=row.carriage_share,
            value=row.movement.value,
        )
        for row in rows
    )
    return Landed(
        delivery=delivery,
        lines=lines,
        goods=sum((line.goods for line in lines), Decimal(0)),
        carriage=delivery.carriage,
        total=sum((line.value for line in lines), Decimal(0)),
    )
