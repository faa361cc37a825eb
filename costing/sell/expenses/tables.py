"""The lists of sales, payments, costs and hours beside the making."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables

from costing.sell.expenses.models import Expense
from inventory.templatetags import figures
from inventory.web.tables import DAY_UP as DAY
from inventory.web.tables import NUMBER, Ledger, written


class ExpenseTable(Ledger):
    caption = "Costs of selling and of the year"
    total = Decimal(0)

    on = tables.DateColumn(verbose_name="Day", format=DAY, order_by=("on", "pk"), footer="All that fit")
    kind = tables.Column(order_by=("kind", "pk"))
    what = tables.Column(accessor="pk", orderable=False, verbose_name="For")
    amount = tables.Column(attrs=NUMBER, order_by=("amount", "pk"), footer=lambda table: figures.money(table.total))

    def render_what(self, record: Expense) -> str:
        return written("costing/sell/expenses/spent_for.html", record)

    def render_amount(self, value: Decimal) -> str:
        return figures.money(value)

    class Meta:
        empty_text = "No cost fits that. Search for less, or show all."
