"""Lists of the shelf: materials, what moved of one, deliveries, suppliers, places."""

from __future__ import annotations

import django_tables2 as tables

from inventory.web.tables import DAY, FAR, NUMBER, Ledger, Words


class SupplierTable(Ledger):
    caption = "Suppliers"

    name = Words("inventory/suppliers/purchases/cells/name.html", "Supplier")
    brought = tables.Column("Deliveries", attrs=NUMBER, order_by=("brought", "name"))
    last = tables.DateColumn(verbose_name="Last", format=DAY, attrs=FAR, order_by=("last", "name"), default="–")
    hides = tables.Column("Skins", attrs=NUMBER, order_by=("hides", "name"))
    note = tables.Column(attrs=FAR, orderable=False, default="")

    class Meta:
        empty_text = "Nobody yet. A supplier is made with the first delivery or skin that names it."
