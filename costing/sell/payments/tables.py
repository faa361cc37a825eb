"""The list of payments."""

import django_tables2 as tables

from inventory.web.tables import FAR, Cell, DayColumn, Figure, ListTable, in_total


class PaymentTable(ListTable):
    caption = "Payments"

    number = tables.Column("Number", order_by=("sequence",), footer="Total")
    on = DayColumn(order_by=("on", "pk"), attrs=FAR)
    what = Cell("costing/sell/payments/what.html", "For", accessor="pk", orderable=False)
    how = tables.Column(attrs=FAR, order_by=("how", "pk"))
    amount = Figure(order_by=("amount", "pk"), footer=in_total)

    class Meta:
        empty_text = "No payment matches. Search for less, or clear the filter."
