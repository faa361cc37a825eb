"""The list of fairs with what each of them contributed."""

from collections.abc import Mapping
from typing import Any

import django_tables2 as tables

from costing.sell.fairs.models import Fair
from costing.sell.fairs.rules import FairResult
from inventory.web.tables import FAR, FAR_NUMBER, Cell, DayColumn, Figure, ListTable


class FairTable(ListTable):
    """`days` (by fair) and `today` are given by the view for the rows of the page shown."""

    caption = "Fairs"
    days: Mapping[Fair, FairResult] = {}
    today: Any = None

    name = Cell("costing/sell/fairs/name.html", "Name", order_by=("name", "on"))
    on = DayColumn(order_by=("on", "pk"), attrs=FAR)
    packed = tables.Column("Packed", attrs=FAR_NUMBER, order_by=("packed", "pk"))
    takings = Figure(of=lambda table, row: table.days[row].takings)
    left = Figure("Contribution", of=lambda table, row: table.days[row].left)
    hour = Figure("Profit per hour", attrs=FAR_NUMBER, of=lambda table, row: table.days[row].per_stall_hour)

    def about(self, record: Fair) -> dict[str, Any]:
        return {"today": self.today}

    class Meta:
        empty_text = "No fair matches. Search for less, or clear the filter."
