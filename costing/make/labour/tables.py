"""The log of work."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables
from django.template.loader import get_template
from django.urls import reverse
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from costing.make.labour.models import LabourLine
from inventory.templatetags import figures
from inventory.web.tables import DAY_UP as DAY
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Ledger, TagColumn


class LabourTable(Ledger):
    caption = "Work"

    on = tables.DateColumn(verbose_name="Day", format=DAY, order_by=("on", "pk"))
    task = tables.Column(order_by=("task", "pk"))
    minutes = tables.Column(attrs=NUMBER, order_by=("minutes", "pk"))
    batch = TagColumn(
        "batch",
        accessor="batch__number",
        verbose_name="Batch",
        attrs=FAR,
        order_by=("batch__number", "pk"),
        default="–",
    )
    skins = tables.Column(accessor="pk", orderable=False, attrs=FAR, verbose_name="Only on")
    who = tables.Column(attrs=FAR, default="me", order_by=("who", "pk"))
    paid = tables.Column(attrs=FAR_NUMBER, order_by=("paid", "pk"))

    def render_task(self, record: LabourLine) -> str:
        return get_template("costing/make/labour/task.html").render({"line": record})

    def render_minutes(self, value: Decimal) -> str:
        return figures.plain(value)

    def render_skins(self, record: LabourLine) -> SafeString:
        named = ((reverse("skin", args=[skin.tag]), skin.tag) for skin in record.skins.all())
        return format_html_join(" ", '<a href="{}">{}</a>', named)

    def render_paid(self, value: Decimal) -> str:
        return figures.money(value) if value else ""

    class Meta:
        empty_text = "No work fits that. Search for less, or show all."
