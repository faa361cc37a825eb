"""Lists of the shelf: the materials, and the stock movements of one."""

from collections.abc import Mapping
from typing import Any

import django_tables2 as tables

from inventory import units
from inventory.base import measures
from inventory.foresight import words
from inventory.foresight.selectors import Outlook
from inventory.ledger import selectors as ledger
from inventory.ledger.models import Movement
from inventory.materials.models import Material
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Cell, Figure, ListTable, in_total


class ShelfTable(ListTable):
    """Materials as they are. `outlooks` (by primary key) are given by the view for the rows of the page shown."""

    caption = "Materials on the shelf"
    outlooks: Mapping[int, Outlook] = {}

    # A phone has room for three: what it is and how it stands, how much is there, when it runs out. The total goes with the value.
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
    lasts = Cell("inventory/materials/cells/runs_out.html", "Runs out", attrs={"tf": FAR["tf"]}, orderable=False)
    unit_cost = tables.Column("Unit cost", attrs=FAR_NUMBER, orderable=False, empty_values=())
    value = Figure(attrs=FAR_NUMBER, order_by=("value", "name"), footer=in_total)
    place = tables.Column("Place", accessor="place__name", attrs=FAR, order_by=("place__name", "name"), default="")

    class Meta:
        empty_text = "No material matches. Clear the filter, or enter a new one."

    def about(self, record: Material) -> dict[str, Any]:
        return words.told(self.outlooks[record.pk])

    def render_unit_cost(self, record: Material) -> str:
        return ledger.per_unit(record.value, record.on_hand, record.unit)


class HistoryTable(ListTable):
    """What moved of one material, newest first. Every line leads to its entry."""

    caption = "Stock movements"

    on = Cell("inventory/materials/cells/day.html", "Date", orderable=False)
    kind = Cell("inventory/materials/cells/kind.html", "What", orderable=False)
    quantity = Cell("inventory/materials/cells/moved.html", "In or out", attrs=NUMBER, orderable=False)
    value = Figure(attrs=FAR_NUMBER, orderable=False)
    quantity_left = Cell("inventory/materials/cells/stock_after.html", "Stock after", attrs=NUMBER, orderable=False)
    value_left = Figure("Value after", attrs=FAR_NUMBER, orderable=False)
    typed = Cell("inventory/materials/cells/typed.html", "As typed", attrs=FAR, orderable=False)
    who = tables.Column("Who", accessor="posting__written_by__username", attrs=FAR, orderable=False, default="")

    class Meta:
        empty_text = "Nothing has moved yet. Record a delivery, or what was there when the books began."

    def __init__(self, *args: Any, unit: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.unit = unit

    def about(self, record: Movement) -> dict[str, Any]:
        """The measure as typed says more than the amount only where it differs: `2 x 25 kg`, `2.5 US cup`."""
        typed = measures.said(record.typed)
        return {"unit": self.unit, "typed": "" if typed == units.show(abs(record.quantity), self.unit) else typed}
