"""The ledger checked from its movements: every balance, every cost, every delivery. Reads everything, writes nothing.

Each finding is one sentence that names the record, what stands there and what the movements say.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal

from django.db.models import Sum

from inventory import costflow, money, units
from inventory.models import CostFlow, Delivery, Lot, LotDraw, Material, Movement, Posting
from inventory.selectors import workshop

NOTHING = Decimal(0)


def findings() -> Iterator[str]:
    """Every difference on the ground floor; nothing when the books are clean."""
    yield from _balances()
    yield from _chains()
    yield from _draws()
    yield from _lots()
    yield from _reversals()
    yield from _deliveries()


def _balances() -> Iterator[str]:
    sums = {
        row["material"]: (row["q"], row["v"])
        for row in Movement.objects.order_by().values("material").annotate(q=Sum("quantity"), v=Sum("value"))
    }
    for material in Material.objects.order_by("code"):
        quantity, value = sums.get(material.pk, (NOTHING, NOTHING))
        if quantity != material.on_hand:
            yield (
                f"{material.code}: the shelf says {units.show(material.on_hand, material.unit)}, "
                f"its movements say {units.show(quantity, material.unit)}."
            )
        if value != material.value:
            yield f"{material.code}: the shelf is worth {material.value}, its movements say {value}."


def _chains() -> Iterator[str]:
    """Each movement leaves what the one before it left plus itself, and an issue by average costs what the average says."""
    places = workshop.places()
    left: dict[int, tuple[Decimal, Decimal]] = defaultdict(lambda: (NOTHING, NOTHING))
    drawn = dict(LotDraw.objects.order_by().values_list("movement").annotate(v=Sum("value")))
    rows = Movement.objects.select_related("material", "posting").order_by("pk")
    for row in rows.iterator(chunk_size=2000):
        quantity, value = left[row.material_id]
        name = f"Movement {row.pk} ({row.material.code}, {row.on})"
        if (quantity + row.quantity, value + row.value) != (row.quantity_left, row.value_left):
            should = f"{quantity + row.quantity} worth {value + row.value}"
            yield f"{name} leaves {row.quantity_left} worth {row.value_left}; it should be {should}."
        if row.month != row.on.year * 12 + row.on.month - 1 or row.on != row.posting.on or row.kind != row.posting.kind:
            yield f"{name} does not agree with its posting about day, month or kind."
        by_lots = drawn.get(row.pk, NOTHING)
        if row.quantity < 0 and row.posting.reverses_id is None:
            if by_lots and by_lots != row.value:
                yield f"{name} is worth {row.value}; its lots say {by_lots}."
            elif not by_lots and -row.quantity <= quantity and value >= 0:
                expected = costflow.average_issue(quantity, value, -row.quantity, places)
                if expected != -row.value and not _free_by_lots(row):
                    yield f"{name} is worth {row.value}; by the average it is {-expected}."
        left[row.material_id] = (quantity + row.quantity, value + row.value)


def _free_by_lots(row: Movement) -> bool:
    """Under first in, first out a draw from goods that cost nothing is worth nothing, whatever the average says."""
    return row.value == 0 and workshop.current().cost_flow == CostFlow.FIFO


def _draws() -> Iterator[str]:
    sums = dict(LotDraw.objects.order_by().values_list("movement").annotate(q=Sum("quantity")))
    outward = Movement.objects.filter(quantity__lt=0).select_related("material")
    for row in outward.iterator(chunk_size=2000):
        if sums.get(row.pk, NOTHING) != row.quantity:
            gave = -sums.get(row.pk, NOTHING)
            yield f"Movement {row.pk} ({row.material.code}, {row.on}) took {-row.quantity}; its lots gave {gave}."


def _lots() -> Iterator[str]:
    drawn = {
        row["lot"]: (row["q"], row["v"])
        for row in LotDraw.objects.order_by().values("lot").annotate(q=Sum("quantity"), v=Sum("value"))
    }
    held: dict[int, list[Decimal]] = defaultdict(lambda: [NOTHING, NOTHING])
    for lot in Lot.objects.select_related("material", "movement"):
        expected = lot.movement.quantity + drawn.get(lot.pk, (NOTHING, NOTHING))[0]
        if expected != lot.quantity:
            yield f"Lot {lot.pk} ({lot.material.code}, {lot.on}) holds {lot.quantity}; its draws say {expected}."
        held[lot.material_id][0] += lot.quantity
        held[lot.material_id][1] += lot.value
    fifo = workshop.current().cost_flow == CostFlow.FIFO
    for material in Material.objects.order_by("code"):
        quantity, value = held[material.pk]
        if quantity != material.on_hand:
            yield f"{material.code}: the shelf holds {material.on_hand}; its lots hold {quantity}."
        if fifo and value != material.value:
            yield f"{material.code}: the shelf is worth {material.value}; its lots are worth {value}."


def _reversals() -> Iterator[str]:
    for back in (
        Posting.objects.filter(reverses__isnull=False)
        .select_related("reverses")
        .prefetch_related("movements", "reverses__movements")
    ):
        taken = sorted((m.material_id, -m.quantity, -m.value) for m in back.movements.all())
        original = sorted((m.material_id, m.quantity, m.value) for m in back.reverses.movements.all())  # type: ignore[union-attr]
        if taken != original:
            yield f"Posting {back.pk} does not take back exactly what posting {back.reverses_id} wrote."


def _deliveries() -> Iterator[str]:
    places = workshop.places()
    for delivery in Delivery.objects.prefetch_related("lines__movement__material"):
        lines = list(delivery.lines.all())
        shared = sum((line.carriage_share for line in lines), NOTHING)
        if shared != delivery.carriage:
            yield f"Delivery {delivery} has carriage {delivery.carriage}; its lines share {shared}."
        for line in lines:
            expected = money.half_up(line.packs * line.pack_price, places) + line.carriage_share
            if expected != line.movement.value:
                name = f"Delivery {delivery}, {line.movement.material.code}"
                yield f"{name}: came in at {line.movement.value}; packs and carriage say {expected}."
