"""The lists of sales, payments, costs and hours beside the making."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables

from costing.sell.expenses.hours.models import SideHours
from inventory.templatetags import figures
from inventory.web.tables import DAY_UP as DAY
from inventory.web.tables import FAR, NUMBER, Ledger, written


class HoursTable(Ledger):
    caption = "Hours beside the making"
    total = Decimal(0)

    on = tables.DateColumn(verbose_name="Day", format=DAY, order_by=("on", "pk"), footer="All that fit")
    kind = tables.Column(order_by=("kind", "pk"))
    words = tables.Column(attrs=FAR, order_by=("words", "pk"), default="")
    back = tables.Column(accessor="pk", orderable=False, verbose_name="Put right")
    minutes = tables.Column(
        attrs=NUMBER,
        verbose_name="Hours",
        order_by=("minutes", "pk"),
        footer=lambda table: figures.hours(table.total),
    )

    def render_back(self, record: SideHours) -> str:
        return written("costing/sell/expenses/hours/reverse.html", record)

    def render_minutes(self, value: Decimal) -> str:
        return figures.hours(value)

    class Meta:
        empty_text = "No hours fit that. Search for less, or show all."
