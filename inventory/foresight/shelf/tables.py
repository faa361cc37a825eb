"""The list of the shelf: the materials as they are, and how each stands."""

from collections.abc import Mapping
from typing import Any

import django_tables2 as tables

from inventory.ledger import selectors as ledger
from inventory.materials.models import Material
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Cell, Figure, ListTable, cell, in_total


class ShelfTable(ListTable):
    """Materials as they are. What is `said` of each (by primary key) is given by the view for the rows of the page shown."""

    caption = "Materials on the shelf"
    said: Mapping[int, dict[str, Any]] = {}

    # A phone has room for two: what it is and how it stands, and how much is there until when. The total goes with the value.
    name = Cell(
        "inventory/materials/cells/material.html",
        "Material",
        attrs={"tf": FAR["tf"]},
        order_by=("name", "code"),
        footer="Total",
    )
    on_hand = Cell(
        "inventory/materials/cells/on_hand.html", "On hand", attrs=NUMBER | {"tf": FAR["tf"]}, orderable=False
    )
    level = Cell("inventory/materials/cells/level.html", "Level", attrs=FAR, orderable=False)
    lasts = Cell("inventory/materials/cells/runs_out.html", "Runs out", attrs=cell("far whole"), orderable=False)
    unit_cost = tables.Column("Unit cost", attrs=cell("num far wide"), orderable=False, empty_values=())
    value = Figure(attrs=FAR_NUMBER, order_by=("value", "name"), footer=in_total)
    place = tables.Column(
        "Place", accessor="place__name", attrs=cell("far wide"), order_by=("place__name", "name"), default=""
    )

    class Meta:
        empty_text = "No material matches. Clear the filter, or enter a new one."

    def about(self, record: Material) -> dict[str, Any]:
        return self.said[record.pk]

    def render_unit_cost(self, record: Material) -> str:
        return ledger.per_unit(record.value, record.on_hand, record.unit)
