"""Lists of the shelf: materials, what moved of one, deliveries, suppliers, places."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables

from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Ledger, Words, coins


class DeliveryTable(Ledger):
    caption = "Deliveries"

    on = Words("inventory/deliveries/cells/day.html", "Came on", order_by=("on", "pk"))
    supplier = Words("inventory/suppliers/cells/cell.html", "From", order_by=("supplier__name", "on", "pk"))
    ref = tables.Column("Reference", attrs=FAR, order_by=("ref", "pk"))
    carriage = tables.Column(attrs=FAR_NUMBER, order_by=("carriage", "pk"))
    total = tables.Column("Value", attrs=NUMBER, order_by=("total", "pk"))

    class Meta:
        empty_text = "No delivery fits that. Goods in records the first one."

    def render_carriage(self, value: Decimal) -> str:
        return coins(value)

    def render_total(self, value: Decimal) -> str:
        return coins(value)
