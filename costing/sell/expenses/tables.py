"""The list of costs."""

import django_tables2 as tables

from inventory.web.tables import Cell, DayColumn, Figure, ListTable, in_total


class ExpenseTable(ListTable):
    caption = "Costs of selling and of the year"

    on = DayColumn(order_by=("on", "pk"), footer="Total")
    kind = tables.Column(order_by=("kind", "pk"))
    what = Cell("costing/sell/expenses/spent_for.html", "For", accessor="pk", orderable=False)
    amount = Figure(order_by=("amount", "pk"), footer=in_total)

    class Meta:
        empty_text = "No cost matches. Search for less, or clear the filter."
