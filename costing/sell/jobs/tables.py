"""The list of jobs."""

from collections.abc import Mapping
from typing import Any

import django_tables2 as tables
from django.utils.safestring import SafeString

from costing.sell.jobs.models import Job
from costing.sell.jobs.selectors import Standing
from inventory.web.tables import FAR, FAR_NUMBER, Cell, DayColumn, Figure, ListTable, TagColumn, link_to


class JobTable(ListTable):
    """`standings` (by job id) is given by the view for the rows of the page shown."""

    caption = "Jobs"
    money = ("price", "held", "left")
    standings: Mapping[int, Standing] = {}

    number = TagColumn("job", "Job")
    customer = tables.Column(order_by=("customer__name", "pk"))
    skin = TagColumn("skin", "Skin", accessor="skin__tag", order_by=("skin__tag",), attrs=FAR)
    state = Cell("costing/sell/jobs/state.html", "Status", accessor="pk", orderable=False)
    ready_by = DayColumn("Ready by", attrs=FAR, order_by=("ready_by", "pk"), default="–")
    price = Figure("Agreed", attrs=FAR_NUMBER, order_by=("price", "pk"))
    held = Figure("Deposit held", attrs=FAR_NUMBER, of=lambda table, row: table.standings[row.pk].deposit)
    left = Figure("Balance due", attrs=FAR_NUMBER, of=lambda table, row: table.standings[row.pk].left)

    def render_customer(self, record: Job) -> SafeString:
        return link_to(record.customer, record.customer.name)

    def about(self, record: Job) -> dict[str, Any]:
        return {"stands": self.standings[record.pk]}

    class Meta:
        empty_text = "No job matches. Search for less, or clear the filter."
