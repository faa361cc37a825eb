"""The lists of jobs and of customers."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.template.loader import get_template
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from costing.models import Customer, Job
from costing.selectors.jobs import Standing
from costing.tables.columns import DAY, TagColumn
from inventory.tables.ledger import FAR, FAR_NUMBER, NUMBER, Ledger
from inventory.templatetags import figures


class JobTable(Ledger):
    """`standings` (by job id) is given by the view for the rows of the page shown."""

    caption = "Jobs"
    standings: dict[int, Standing] = {}

    number = TagColumn("job", verbose_name="Job")
    customer = tables.Column(order_by=("customer__name", "pk"))
    skin = TagColumn("skin", accessor="skin__tag", verbose_name="Skin", order_by=("skin__tag",), attrs=FAR)
    state = tables.Column(accessor="pk", orderable=False, verbose_name="How it stands")
    ready_by = tables.DateColumn(
        format=DAY, attrs=FAR, order_by=("ready_by", "pk"), verbose_name="Ready by", default="–"
    )
    price = tables.Column(attrs=FAR_NUMBER, order_by=("price", "pk"), verbose_name="Agreed")
    held = tables.Column(accessor="pk", attrs=FAR_NUMBER, orderable=False, verbose_name="Deposit held")
    left = tables.Column(accessor="pk", attrs=FAR_NUMBER, orderable=False, verbose_name="Still to pay")

    def render_customer(self, record: Job) -> SafeString:
        return _customer(record.customer)

    def render_state(self, record: Job) -> str:
        return get_template("costing/jobs/state.html").render({"stands": self.standings[record.pk]})

    def render_price(self, value: Decimal) -> str:
        return figures.money(value)

    def render_held(self, value: int) -> str:
        return figures.money(self.standings[value].deposit)

    def render_left(self, value: int) -> str:
        return figures.money(self.standings[value].left)

    class Meta:
        empty_text = "No job fits that. Search for less, or show all."


class CustomerTable(Ledger):
    """`owed` (by customer id) is given by the view for the rows of the page shown."""

    caption = "Customers"
    owed: dict[int, Decimal] = {}

    name = tables.Column(order_by=("name",))
    electronic_address = tables.Column(verbose_name="Phone or mail", attrs=FAR, orderable=False, default="–")
    job_count = tables.Column(verbose_name="Jobs", attrs=FAR_NUMBER, order_by=("job_count", "name"))
    sale_count = tables.Column(verbose_name="Papers", attrs=FAR_NUMBER, order_by=("sale_count", "name"))
    left = tables.Column(accessor="pk", verbose_name="Owes", attrs=NUMBER, orderable=False)

    def render_name(self, record: Customer) -> SafeString:
        return _customer(record)

    def render_left(self, value: int) -> str:
        return figures.money(self.owed.get(value, Decimal(0)))

    class Meta:
        empty_text = "Nobody fits that. Search for less, or show all."


def _customer(row: Any) -> SafeString:
    return format_html('<a href="{}">{}</a>', reverse("customer", args=[row.pk]), row.name)
