"""The lists of sales, payments, costs and hours beside the making."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.template.loader import get_template

from costing.models import Expense, Payment, Sale, SideHours
from costing.selectors import money
from costing.tables.columns import DAY, TagColumn
from inventory.tables.ledger import FAR, FAR_NUMBER, NUMBER, Ledger
from inventory.templatetags import figures


def written(template: str, record: Any, **more: Any) -> str:
    return get_template(f"costing/{template}.html").render({"record": record, **more})


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
        return written("sales/what", record, lines=lines[:1], more=len(lines) - 1)

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
        left = money.balance(record, self.today).left
        return figures.money(left) if left else ""

    class Meta:
        empty_text = "No sale fits that. Search for less, or show all."


class PaymentTable(Ledger):
    caption = "Money in"
    total = Decimal(0)

    number = tables.Column(verbose_name="Number", order_by=("sequence",), footer="All that fit")
    on = tables.DateColumn(verbose_name="Day", format=DAY, order_by=("on", "pk"), attrs=FAR)
    what = tables.Column(accessor="pk", orderable=False, verbose_name="For")
    how = tables.Column(attrs=FAR, order_by=("how", "pk"))
    amount = tables.Column(attrs=NUMBER, order_by=("amount", "pk"), footer=lambda table: figures.money(table.total))

    def render_what(self, record: Payment) -> str:
        return written("payments/what", record)

    def render_amount(self, value: Decimal) -> str:
        return figures.money(value)

    class Meta:
        empty_text = "No payment fits that. Search for less, or show all."


class ExpenseTable(Ledger):
    caption = "Costs of selling and of the year"
    total = Decimal(0)

    on = tables.DateColumn(verbose_name="Day", format=DAY, order_by=("on", "pk"), footer="All that fit")
    kind = tables.Column(order_by=("kind", "pk"))
    what = tables.Column(accessor="pk", orderable=False, verbose_name="For")
    amount = tables.Column(attrs=NUMBER, order_by=("amount", "pk"), footer=lambda table: figures.money(table.total))

    def render_what(self, record: Expense) -> str:
        return written("payments/spent_for", record)

    def render_amount(self, value: Decimal) -> str:
        return figures.money(value)

    class Meta:
        empty_text = "No cost fits that. Search for less, or show all."


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
        return written("payments/hours_back", record)

    def render_minutes(self, value: Decimal) -> str:
        return figures.hours(value)

    class Meta:
        empty_text = "No hours fit that. Search for less, or show all."
