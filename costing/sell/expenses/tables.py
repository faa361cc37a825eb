"""The lists of costs and of non-production hours."""

import django_tables2 as tables

from inventory.templatetags import figures
from inventory.web.tables import FAR, Cell, DayColumn, Figure, ListTable, in_total


class ExpenseTable(ListTable):
    caption = "Costs of selling and of the year"

    on = DayColumn(order_by=("on", "pk"), footer="Total")
    kind = tables.Column("Kind", accessor="get_kind_display", attrs=FAR, order_by=("kind", "pk"))
    what = Cell("costing/sell/expenses/spent_for.html", "For", accessor="pk", orderable=False)
    amount = Figure(order_by=("amount", "pk"), footer=in_total)

    class Meta:
        empty_text = "No cost matches. Search for less, or clear the filter."


class HoursTable(ListTable):
    caption = "Non-production hours"

    on = DayColumn(order_by=("on", "pk"), footer="Total")
    kind = tables.Column(order_by=("kind", "pk"))
    words = tables.Column(attrs=FAR, order_by=("words", "pk"), default="")
    back = Cell("costing/sell/expenses/reverse_hours.html", "Reverse", accessor="pk", orderable=False)
    minutes = Figure(
        "Hours", write=figures.hours, order_by=("minutes", "pk"), footer=lambda table: figures.hours(table.total)
    )

    class Meta:
        empty_text = "No hours match. Search for less, or clear the filter."
