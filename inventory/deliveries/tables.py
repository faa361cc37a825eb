"""The list of deliveries."""

import django_tables2 as tables

from inventory.web.tables import FAR, FAR_NUMBER, Cell, Figure, ListTable


class DeliveryTable(ListTable):
    caption = "Deliveries"

    on = Cell("inventory/deliveries/cells/day.html", "Received", order_by=("on", "pk"))
    supplier = Cell("inventory/suppliers/cells/cell.html", "From", order_by=("supplier__name", "on", "pk"))
    ref = tables.Column("Reference", attrs=FAR, order_by=("ref", "pk"))
    carriage = Figure(attrs=FAR_NUMBER, order_by=("carriage", "pk"))
    total = Figure("Value", order_by=("total", "pk"))

    class Meta:
        empty_text = "No delivery matches. Goods in records the first one."
