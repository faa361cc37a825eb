"""The log of work."""

from decimal import Decimal

import django_tables2 as tables
from django.template.loader import get_template
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from costing.make.labour.models import LabourLine
from inventory.templatetags import figures
from inventory.web.tables import FAR, FAR_NUMBER, DayColumn, Figure, ListTable, TagColumn
from inventory.web.trail import address


def paid(value: Decimal) -> str:
    return figures.money(value) if value else ""


class LabourTable(ListTable):
    caption = "Work"
    money = ("paid",)

    on = DayColumn(order_by=("on", "pk"))
    task = tables.Column(order_by=("task", "pk"))
    minutes = Figure(write=figures.plain, order_by=("minutes", "pk"))
    batch = TagColumn(
        "batch", "Batch", accessor="batch__number", attrs=FAR, order_by=("batch__number", "pk"), default="–"
    )
    skins = tables.Column("Only on", accessor="pk", orderable=False, attrs=FAR)
    who = tables.Column(attrs=FAR, default="me", order_by=("who", "pk"))
    paid = Figure(write=paid, attrs=FAR_NUMBER, order_by=("paid", "pk"))

    def render_task(self, record: LabourLine) -> str:
        return get_template("costing/make/labour/task.html").render({"line": record})

    def render_skins(self, record: LabourLine) -> SafeString:
        named = ((address(skin), skin.tag) for skin in record.skins.all())
        return format_html_join(" ", '<a href="{}">{}</a>', named)

    class Meta:
        empty_text = "No work matches. Search for less, or clear the filter."
