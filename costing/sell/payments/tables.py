"""The lists of sales, payments, costs and hours beside the making."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables

from costing.sell.payments.models import Payment
from inventory.templatetags import figures
from inventory.web.tables import DAY_UP as DAY
from inventory.web.tables import FAR, NUMBER, Ledger, written


class PaymentTable(Ledger):
    caption = "Money in"
    total = Decimal(0)

    number = tables.Column(verbose_name="Number", order_by=("sequence",), footer="All that fit")
    on = tables.DateColumn(verbose_name="Day", format=DAY, order_by=("on", "pk"), attrs=FAR)
    what = tables.Column(accessor="pk", orderable=False, verbose_name="For")
    how = tables.Column(attrs=FAR, order_by=("how", "pk"))
    amount = tables.Column(attrs=NUMBER, order_by=("amount", "pk"), footer=lambda table: figures.money(table.total))

    def render_what(self, record: Payment) -> str:
        return written("costing/sell/payments/what.html", record)

    def render_amount(self, value: Decimal) -> str:
        return figures.money(value)

    class Meta:
        empty_text = "No payment fits that. Search for less, or show all."
