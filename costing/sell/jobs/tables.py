"""The lists of jobs and of customers."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables
from django.template.loader import get_template
from django.utils.safestring import SafeString

from costing.sell.jobs.models import Job
from costing.sell.jobs.selectors import Standing
from inventory.templatetags import figures
from inventory.web.tables import DAY_UP as DAY
from inventory.web.tables import FAR, FAR_NUMBER, Ledger, TagColumn, _customer


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
        return get_template("costing/sell/jobs/state.html").render({"stands": self.standings[record.pk]})

    def render_price(self, value: Decimal) -> str:
        return figures.money(value)

    def render_held(self, value: int) -> str:
        return figures.money(self.standings[value].deposit)

    def render_left(self, value: int) -> str:
        return figures.money(self.standings[value].left)

    class Meta:
        empty_text = "No job fits that. Search for less, or show all."
