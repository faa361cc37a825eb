"""Lists of the shelf: materials, what moved of one, deliveries, suppliers, places."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import django_tables2 as tables

from inventory import money, units
from inventory.models import Material, Movement
from inventory.selectors import stock, workshop
from inventory.tables.ledger import DAY, FAR, FAR_NUMBER, NUMBER, Ledger, Words


def coins(value: Decimal) -> str:
    return money.show(value, workshop.current().currency)


def per_unit(value: Decimal, quantity: Decimal, unit: str) -> str:
    """Money per unit for people, or a dash where nothing is there."""
    cost = stock.unit_cost(value, quantity, unit)
    return "–" if cost is None else f"{cost:f} {money.sign(workshop.current().currency)}/{units.label(unit)}"


class ShelfTable(Ledger):
    """Materials as they stand. `looks` (by primary key) and `total` come from the selector."""

    caption = "Materials on the shelf"

    name = Words("material", "Material", order_by=("name", "code"), footer="Together")
    on_hand = Words("on_hand", "On hand", attrs=NUMBER, orderable=False)
    level = Words("level", "Level", attrs=FAR, orderable=False)
    lasts = Words("lasts", "Lasts until", attrs=FAR, orderable=False)
    unit_cost = tables.Column("Unit cost", attrs=FAR_NUMBER, orderable=False, empty_values=())
    value = tables.Column(attrs=NUMBER, order_by=("value", "name"), footer=lambda table: coins(table.total))
    place = tables.Column("Place", accessor="place__name", attrs=FAR, order_by=("place__name", "name"), default="")

    class Meta:
        empty_text = "No material fits that. Show all of them, or enter a new one."

    def __init__(self, *args: Any, total: Decimal = Decimal(0), **options: Any) -> None:
        super().__init__(*args, **options)
        self.total = total
        self.looks: dict[int, stock.Look] = {}

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

    on = Words("entry_day", "Date", orderable=False)
    kind = Words("what", "What", orderable=False)
    quantity = Words("moved", "In or out", attrs=NUMBER, orderable=False)
    value = tables.Column(attrs=FAR_NUMBER, orderable=False)
    quantity_left = Words("left", "Left", attrs=NUMBER, orderable=False)
    value_left = tables.Column("Value left", attrs=FAR_NUMBER, orderable=False)
    typed = Words("typed", "As typed", attrs=FAR, orderable=False)
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


class DeliveryTable(Ledger):
    caption = "Deliveries"

    on = Words("delivery_day", "Came on", order_by=("on", "pk"))
    supplier = Words("supplier", "From", order_by=("supplier__name", "on", "pk"))
    ref = tables.Column("Reference", attrs=FAR, order_by=("ref", "pk"))
    carriage = tables.Column(attrs=FAR_NUMBER, order_by=("carriage", "pk"))
    total = tables.Column("Value", attrs=NUMBER, order_by=("total", "pk"))

    class Meta:
        empty_text = "No delivery fits that. Goods in records the first one."

    def render_carriage(self, value: Decimal) -> str:
        return coins(value)

    def render_total(self, value: Decimal) -> str:
        return coins(value)


class SupplierTable(Ledger):
    caption = "Suppliers"

    name = Words("supplier_name", "Supplier")
    brought = tables.Column("Deliveries", attrs=NUMBER, order_by=("brought", "name"))
    last = tables.DateColumn(verbose_name="Last", format=DAY, attrs=FAR, order_by=("last", "name"), default="–")
    hides = tables.Column("Skins", attrs=NUMBER, order_by=("hides", "name"))
    note = tables.Column(attrs=FAR, orderable=False, default="")

    class Meta:
        empty_text = "Nobody yet. A supplier is made with the first delivery or skin that names it."


class PlaceTable(Ledger):
    caption = "Places"

    name = Words("place_name", "Place", order_by=("name",))
    kind = tables.Column(attrs=FAR, order_by=("kind", "name"))
    holds = Words("place_holds", "Holds", attrs=FAR, orderable=False)
    goods = Words("place_goods", "Materials", attrs=NUMBER, order_by=("goods", "name"))
    hides = tables.Column("Skins in work", attrs=NUMBER, order_by=("hides", "name"))

    class Meta:
        empty_text = "No place fits that. Enter shelves, tubs, frames and whoever keeps pieces for you."
