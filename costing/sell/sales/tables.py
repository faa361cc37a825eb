"""The list of sales."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import django_tables2 as tables

from costing.sell.payments import selectors as payments
from costing.sell.sales.models import Sale
from inventory.templatetags import figures
from inventory.web.tables import FAR, FAR_NUMBER, Cell, DayColumn, Figure, ListTable, TagColumn


def due(table: SaleTable, record: Sale) -> str:
    """The balance due of today; nothing where nothing is, and for a credit."""
    balance = payments.balance(record, table.today)
    if balance.left:
        return figures.money(balance.left)
    return "written off" if balance.written_off else ""


class SaleTable(ListTable):
    """`totals` and `today` are given by the view."""

    caption = "Sales"
    totals: dict[str, Decimal]
    today: date

    number = TagColumn("sale", "Paper", order_by=("number", "pk"), footer="Total")
    on = DayColumn(order_by=("on", "pk"), attrs=FAR)
    what = Cell("costing/sell/sales/what.html", "What", accessor="pk", orderable=False)
    to = tables.Column("To", accessor="pk", order_by=("customer__name", "fair__name", "pk"), attrs=FAR)
    channel = tables.Column(
        "Through", accessor="channel__name", attrs=FAR, default="–", order_by=("channel__name", "pk")
    )
    net = Figure(
        "Net", attrs=FAR_NUMBER, order_by=("net", "pk"), footer=lambda table: figures.money(table.totals["net"])
    )
    gross = Figure("Price", order_by=("gross", "pk"), footer=lambda table: figures.money(table.totals["gross"]))
    left = Figure("Balance due", write=str, attrs=FAR_NUMBER, of=due)

    def about(self, record: Sale) -> dict[str, Any]:
        lines = list(record.lines.all())
        return {"lines": lines[:1], "more": len(lines) - 1}

    def render_to(self, record: Sale) -> str:
        if record.customer is not None:
            return record.customer.name
        return str(record.fair.name) if record.fair is not None else "over the counter"

    class Meta:
        empty_text = "No sale matches. Search for less, or clear the filter."
