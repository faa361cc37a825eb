"""The lists of sales, payments, costs and hours beside the making."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import django_tables2 as tables

from costing.sell.payments import selectors as payments
from costing.sell.sales.models import Sale
from inventory.templatetags import figures
from inventory.web.tables import DAY_UP as DAY
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Ledger, TagColumn, written


class SaleTable(Ledger):
    """`totals` and `today` are given by the view. What is left is that of today."""

    caption = "Sales"
    totals: Any = None
    today: date

    number = TagColumn("sale", verbose_name="Paper", order_by=("number", "pk"), footer="All that fit")
    on = tables.DateColumn(verbose_name="Day", format=DAY, order_by=("on", "pk"), attrs=FAR)
    what = tables.Column(accessor="pk", orderable=False, verbose_name="What")
    to = tables.Column(accessor="pk", verbose_name="To", order_by=("customer__name", "fair__name", "pk"), attrs=FAR)
    channel = tables.Column(
        accessor="channel__name", verbose_name="Through", attrs=FAR, default="–", order_by=("channel__name", "pk")
    )
    net = tables.Column(
        attrs=FAR_NUMBER,
        verbose_name="Without tax",
        order_by=("net", "pk"),
        footer=lambda table: figures.money(table.totals.net),
    )
    gross = tables.Column(
        attrs=NUMBER,
        verbose_name="Price",
        order_by=("gross", "pk"),
        footer=lambda table: figures.money(table.totals.gross),
    )
    left = tables.Column(accessor="pk", orderable=False, verbose_name="Still owed", attrs=FAR_NUMBER)

    def render_what(self, record: Sale) -> str:
        lines = list(record.lines.all())
        return written("costing/sell/sales/what.html", record, lines=lines[:1], more=len(lines) - 1)

    def render_to(self, record: Sale) -> str:
        if record.customer is not None:
            return record.customer.name
        return str(record.fair.name) if record.fair is not None else "over the counter"

    def render_net(self, value: Decimal) -> str:
        return figures.money(value)

    def render_gross(self, value: Decimal) -> str:
        return figures.money(value)

    def render_left(self, record: Sale) -> str:
        if record.kind == Sale.Kind.CREDIT:
            return ""
        left = payments.balance(record, self.today).left
        return figures.money(left) if left else ""

    class Meta:
        empty_text = "No sale fits that. Search for less, or show all."
