"""The list of customers."""

from collections.abc import Mapping
from decimal import Decimal

import django_tables2 as tables
from django.utils.safestring import SafeString

from costing.sell.customers.models import Customer
from inventory.money import ZERO
from inventory.web.tables import FAR, FAR_NUMBER, Figure, ListTable, link_to


class CustomerTable(ListTable):
    """`owed` (by customer id) is given by the view for the rows of the page shown."""

    caption = "Customers"
    money = ("left",)
    owed: Mapping[int, Decimal] = {}

    name = tables.Column(order_by=("name",))
    electronic_address = tables.Column("Phone or mail", attrs=FAR, orderable=False, default="–")
    job_count = tables.Column("Jobs", attrs=FAR_NUMBER, order_by=("job_count", "name"))
    sale_count = tables.Column("Papers", attrs=FAR_NUMBER, order_by=("sale_count", "name"))
    left = Figure("Balance due", of=lambda table, row: table.owed.get(row.pk, ZERO))

    def render_name(self, record: Customer) -> SafeString:
        return link_to(record, record.name)

    class Meta:
        empty_text = "Nobody matches. Search for less, or clear the filter."
