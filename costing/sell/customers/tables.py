"""The lists of jobs and of customers."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables
from django.utils.safestring import SafeString

from costing.sell.customers.models import Customer
from inventory.templatetags import figures
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Ledger, _customer


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
