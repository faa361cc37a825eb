"""The list of places."""

import django_tables2 as tables

from inventory.web.tables import FAR, NUMBER, Cell, ListTable


class PlaceTable(ListTable):
    caption = "Places"

    name = Cell("inventory/places/cells/name.html", "Place", order_by=("name",))
    kind = tables.Column(attrs=FAR, order_by=("kind", "name"))
    holds = Cell("inventory/places/cells/holds.html", "Holds", attrs=FAR, orderable=False)
    goods = Cell("inventory/places/cells/goods.html", "Materials", attrs=NUMBER, order_by=("goods", "name"))
    hides = tables.Column("Skins in work", attrs=NUMBER, order_by=("hides", "name"))

    class Meta:
        empty_text = "No place matches. Enter shelves, tubs, frames and whoever keeps pieces for you."
