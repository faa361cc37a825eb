"""Lists of the shelf: materials, what moved of one, deliveries, suppliers, places."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import django_tables2 as tables

from inventory import units
from inventory.ledger.models import Movement
from inventory.ledger.tables import per_unit
from inventory.materials.models import Material
from inventory.restock import selectors as restock
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Ledger, Words, coins


class ShelfTable(Ledger):
    """Materials as they stand. `looks` (by primary key) and `total` come from the selector."""

    caption = "Materials on the shelf"

    name = Words(
        "inventory/materials/shelf/cells/material.html", "Material", order_by=("name", "code"), footer="Together"
    )
    on_hand = Words("inventory/materials/shelf/cells/on_hand.html", "On hand", attrs=NUMBER, orderable=False)
    level = Words("inventory/materials/shelf/cells/level.html", "Level", attrs=FAR, orderable=False)
    lasts = Words("inventory/materials/shelf/cells/runs_out.html", "Lasts until", attrs=FAR, orderable=False)
    unit_cost = tables.Column("Unit cost", attrs=FAR_NUMBER, orderable=False, empty_values=())
    value = tables.Column(attrs=NUMBER, order_by=("value", "name"), footer=lambda table: coins(table.total))
    place = tables.Column("Place", accessor="place__name", attrs=FAR, order_by=("place__name", "name"), default="")

    class Meta:
        empty_text = "No material fits that. Show all of them, or enter a new one."

    def __init__(self, *args: Any, total: Decimal = Decimal(0), **options: Any) -> None:
        super().__init__(*args, **options)
        self.total = total
        self.looks: dict[int, restock.Look] = {}

    def about(self, record: Material) -> dict[str, Any]:
        look = self.looks.get(record.pk)
        return {"look": look, "said": look.words(record.unit) if look else ""}

    def render_value(self, value: Decimal) -> str:
        return coins(value)

    def render_unit_cost(self, record: Material) -> str:
        return per_unit(record.value, record.on_hand, record.unit)


class HistoryTable(Ledger):
    """What moved of one material, newest first. Every line leads to its entry."""

    caption = "What came and went"

    on = Words("inventory/materials/shelf/cells/day.html", "Date", orderable=False)
    kind = Words("inventory/materials/shelf/cells/kind.html", "What", orderable=False)
    quantity = Words("inventory/materials/shelf/cells/moved.html", "In or out", attrs=NUMBER, orderable=False)
    value = tables.Column(attrs=FAR_NUMBER, orderable=False)
    quantity_left = Words("inventory/materials/shelf/cells/stock_after.html", "Left", attrs=NUMBER, orderable=False)
    value_left = tables.Column("Value left", attrs=FAR_NUMBER, orderable=False)
    typed = Words("inventory/materials/shelf/cells/typed.html", "As typed", attrs=FAR, orderable=False)
    who = tables.Column("Who", accessor="posting__written_by__username", attrs=FAR, orderable=False, default="")

    class Meta:
        empty_text = "Nothing has moved yet. Record a delivery, or what was there when the books began."

    def __init__(self, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.unit = unit

    def about(self, record: Movement) -> dict[str, Any]:
        """The measure as typed says more than the amount only where it differs: `2 x 25 kg`, `2.5 us cup`."""
        same = units.show(abs(record.quantity), self.unit)
        typed = record.typed.replace("_", " ")
        kind, reason = record.get_kind_display(), record.posting.reason
        return {
            "unit": self.unit,
            "typed": "" if typed == same else typed,
            "reason": "" if reason.casefold() == kind.casefold() else reason,
        }

    def render_value(self, value: Decimal) -> str:
        return coins(value)

    def render_value_left(self, value: Decimal) -> str:
        return coins(value)
