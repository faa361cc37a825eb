"""The list of suppliers."""

import django_tables2 as tables

from inventory.web.tables import FAR, NUMBER, Cell, DayColumn, ListTable


class SupplierTable(ListTable):
    caption = "Suppliers"

    name = Cell("inventory/suppliers/purchases/cells/name.html", "Supplier")
    brought = tables.Column("Deliveries", attrs=NUMBER, order_by=("brought", "name"))
    last = DayColumn("Last", attrs=FAR, order_by=("last", "name"), default="–")
    hides = tables.Column("Skins", attrs=NUMBER, order_by=("hides", "name"))
    note = tables.Column(attrs=FAR, orderable=False, default="")

    class Meta:
        empty_text = "Nobody yet. A supplier is made with the first delivery or skin that names it."
