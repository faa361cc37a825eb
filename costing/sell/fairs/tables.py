"""The list of fairs with what each of them left."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.template.loader import get_template

from costing.sell.fairs.models import Fair
from costing.sell.fairs.selectors import Day
from inventory.templatetags import figures
from inventory.web.tables import DAY_UP as DAY
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Ledger


class FairTable(Ledger):
    """`days` (by fair id) and `today` are given by the view for the rows of the page shown."""

    caption = "Fairs"
    days: dict[int, Day] = {}
    today: Any = None

    name = tables.Column(order_by=("name", "on"))
    on = tables.DateColumn(verbose_name="Day", format=DAY, order_by=("on", "pk"), attrs=FAR)
    packed = tables.Column(verbose_name="Packed", attrs=FAR_NUMBER, order_by=("packed", "pk"))
    takings = tables.Column(accessor="pk", orderable=False, attrs=NUMBER)
    left = tables.Column(accessor="pk", orderable=False, attrs=NUMBER, verbose_name="Left")
    hour = tables.Column(accessor="pk", orderable=False, attrs=FAR_NUMBER, verbose_name="A stall hour")

    def render_name(self, record: Fair) -> str:
        return get_template("costing/sell/fairs/name.html").render({"record": record, "today": self.today})

    def render_takings(self, value: int) -> str:
        return figures.money(self.days[value].result.takings)

    def render_left(self, value: int) -> str:
        return figures.money(self.days[value].result.left)

    def render_hour(self, value: int) -> str:
        return figures.money(self.days[value].result.per_stall_hour)

    class Meta:
        empty_text = "No fair fits that. Search for less, or show all."
