"""Lists of the shelf: the materials, and the stock movements of one."""

from typing import Any

import django_tables2 as tables

from inventory import units
from inventory.base import measures
from inventory.ledger.models import Movement
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Cell, Figure, ListTable


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
