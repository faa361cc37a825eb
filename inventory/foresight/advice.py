"""How much to buy of a material, from whom and for about how much: the forecast's need in packs, at the last price paid."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from django.db.models import OuterRef, Subquery

from inventory.base import selectors as workshop
from inventory.deliveries.models import DeliveryLine
from inventory.foresight import lot_size
from inventory.foresight.selectors import Outlook
from inventory.ledger.models import Lot
from inventory.materials import breaks
from inventory.materials.models import Material
from inventory.suppliers.models import Supplier
from inventory.suppliers.rules import carriage

YEAR_DAYS = 365
ONE = Fraction(1)
# By material (its key) how many times its price it costs, for a "what if".
Dearer = Mapping[int, Fraction]
AS_PAID: Dearer = MappingProxyType({})


@dataclass(frozen=True)
class Advice:
    """What to order. `goods` is the price of the lot, None where none is known; `carriage` None where it is not known."""

    lot: lot_size.Lot
    supplier: Supplier | None
    carriage: Decimal | None

    @property
    def cost(self) -> Decimal | None:
        """Goods and carriage; without the carriage where that is not known."""
        return None if self.lot.cost is None else self.lot.cost + (self.carriage or 0)


def advices(outlooks: Iterable[Outlook], *, dearer: Dearer = AS_PAID) -> dict[int, Advice]:
    """By material what to buy when the day to order comes. One query."""
    rows = list(outlooks)
    paid = last_prices(each.material for each in rows)
    return {
        row.pk: _advice(each, paid.get(row.pk), dearer.get(row.pk, ONE)) for each in rows for row in [each.material]
    }


def _advice(outlook: Outlook, paid: Fraction | None, times: Fraction) -> Advice:
    row, seen = outlook.material, outlook.forecast
    places = workshop.places()
    pack = row.pack_quantity
    supplier = row.supplier
    price = None if paid is None else paid * times * (Fraction(pack) if pack else 1)
    lot = lot_size.advise(
        seen.wanted,
        # What is planned is used within the year, too.
        yearly=max(seen.use.rate * YEAR_DAYS, Fraction(seen.needed)),
        order_cost=supplier.carriage if supplier else None,
        pack=pack,
        price=price,
        breaks=[(each.packs, Fraction(each.price) * times) for each in breaks.parse(row.price_breaks, places)],
        further=row.breaks_on == Material.BreaksOn.FURTHER,
        min_order=row.min_order or Decimal(0),
        most=seen.keeps,
        places=places,
    )
    brings = carriage(lot.cost or Decimal(0), supplier.carriage, supplier.carriage_free_from) if supplier else None
    return Advice(lot, supplier, brings)


def last_prices(materials: Iterable[Material]) -> dict[int, Fraction]:
    """By material what a base unit cost at its last delivery, without carriage and deducted tax. One query."""
    # By the lots, which only arrivals have: a walk back from the newest of them ends at the first that came with a delivery.
    standing = Lot.objects.filter(material=OuterRef("pk"), movement__posting__reversed_by__isnull=True)
    newest = (
        standing.filter(movement__delivery_line__isnull=False).order_by("-pk").values("movement__delivery_line")[:1]
    )
    last = (
        Material.objects.filter(pk__in=[material.pk for material in materials])
        .order_by()
        .annotate(last=Subquery(newest))
    )
    rows = DeliveryLine.objects.filter(pk__in=last.values("last")).select_related("movement")
    return {row.movement.material_id: Fraction(row.goods) / Fraction(row.movement.quantity) for row in rows}
