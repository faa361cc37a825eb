"""Rows of the stock ledger, every entry numbered in the order it was written; what was taken back is left out.

A count is written as what must have been counted: the balance of its day at that moment, over the entries that are saved.
"""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch

from costing.models import LabourLine, Use
from inventory.models import DeliveryLine, Kind, Movement, Posting
from workshop.exchange import cells
from workshop.exchange.save_masters import Cells

_COUNT_REASON = "count difference"


class Ledger:
    """The rows by file, and the opening columns of each material by its id. `taken_back` entries (labour too) are left out."""

    def __init__(self) -> None:
        self.files: dict[str, list[Cells]] = {
            name: [] for name in ("openings.csv", "deliveries.csv", "uses.csv", "counts.csv")
        }
        self.openings: dict[int, Cells] = {}
        self.taken_back = sum(rows.objects.filter(reverses__isnull=False).count() for rows in (Posting, LabourLine))
        self._held: dict[int, list[tuple[date, Decimal]]] = defaultdict(list)
        for seq, posting in enumerate(_standing(), start=1):
            for movement in posting.movements.all():
                self._held[movement.material_id].append((movement.on, movement.quantity))
                self._add(posting, movement, str(seq))

    def _add(self, posting: Posting, movement: Movement, seq: str) -> None:
        common = {"date": cells.day(posting.on), "material": movement.material.code, "seq": seq}
        match posting.kind:
            case Kind.OPENING:
                self._add_opening(movement, common)
            case Kind.RECEIPT:
                self.files["deliveries.csv"].append({**common, **_delivery_line(posting, movement)})
            case Kind.COUNT:
                self.files["counts.csv"].append({**common, **self._count(posting, movement)})
            case _:
                self.files["uses.csv"].append({**common, **_use(posting, movement)})

    def _add_opening(self, movement: Movement, common: Cells) -> None:
        """The first one stands with its material, in the material's own unit."""
        value = cells.coins(movement.value)
        if movement.material_id not in self.openings:
            self.openings[movement.material_id] = {
                "opening_date": common["date"],
                "opening_quantity": cells.measure(movement.quantity, movement.material.unit),
                "opening_value": value,
                "seq": common["seq"],
            }
            return
        quantity, unit = cells.typed(movement.typed, movement.quantity, movement.material)
        self.files["openings.csv"].append({**common, "quantity": quantity, "unit": unit, "value": value})

    def _count(self, posting: Posting, movement: Movement) -> Cells:
        counted = sum((moved for on, moved in self._held[movement.material_id] if on <= movement.on), Decimal(0))
        quantity, unit = cells.typed(movement.typed, counted, movement.material)
        note = "" if posting.reason == _COUNT_REASON else posting.reason
        return {"quantity": quantity, "unit": unit, "note": note}


def _standing() -> list[Posting]:
    movements = Movement.objects.select_related("material", "planned", "delivery_line").order_by("pk")
    return list(
        Posting.objects.filter(reverses__isnull=True, reversed_by__isnull=True)
        .select_related("delivery__supplier", "use__batch")
        .prefetch_related(Prefetch("movements", queryset=movements), "use__skins", "sales")
        .order_by("pk")
    )


def _delivery_line(posting: Posting, movement: Movement) -> Cells:
    line: DeliveryLine = movement.delivery_line
    delivery = posting.delivery
    return {
        "ref": delivery.ref,
        "supplier": delivery.supplier.name,
        "carriage": cells.coins(delivery.carriage),
        "packs": cells.number(line.packs),
        "pack_quantity": cells.measure(line.pack_quantity, movement.material.unit),
        "unit": movement.material.unit,
        "pack_price": cells.coins(line.pack_price),
    }


def _use(posting: Posting, movement: Movement) -> Cells:
    quantity, unit = cells.typed(movement.typed, -movement.quantity, movement.material)
    row = {"quantity": quantity, "unit": unit, "note": posting.reason}
    if posting.kind != Kind.USE:
        sales = [sale.number for sale in posting.sales.all()]
        return {**row, "reason": posting.kind, "sale": sales[0] if sales else ""}
    use: Use = posting.use
    planned = getattr(movement, "planned", None)
    return {
        **row,
        "batch": use.batch.number if use.batch else "",
        "skins": " ".join(sorted(skin.tag for skin in use.skins.all())),
        "planned": cells.in_unit(planned.quantity, unit, movement.material) if planned else "",
    }
