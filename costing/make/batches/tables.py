"""The list of batches."""

from collections.abc import Mapping
from decimal import Decimal

import django_tables2 as tables
from django.template.loader import get_template

from costing.make.batches.models import Batch
from inventory.money import ZERO
from inventory.templatetags import figures
from inventory.web.tables import FAR, FAR_NUMBER, DayColumn, Figure, ListTable, TagColumn


class BatchTable(ListTable):
    """`books` (by batch id) is given by the view for the rows of the page shown."""

    caption = "Batches"
    money = ("book",)
    books: Mapping[int, Decimal] = {}

    number = TagColumn("batch", "Batch")
    version = tables.Column("Recipe", order_by=("version__recipe__code", "version__number"), attrs=FAR)
    start = DayColumn("Start", order_by=("start", "pk"), attrs=FAR)
    state = tables.Column(order_by=("state", "-start"))
    there = tables.Column("Skins now", attrs=FAR_NUMBER, order_by=("there", "pk"))
    heads = tables.Column("Skins in total", attrs=FAR_NUMBER, order_by=("heads", "pk"))
    litres = Figure("Bath", write=figures.volume, attrs=FAR_NUMBER, order_by=("litres", "pk"), default="–")
    place = tables.Column("Location", attrs=FAR, default="–", order_by=("place__name", "pk"))
    book = Figure("Book so far", of=lambda table, row: table.books.get(row.pk, ZERO))

    def render_state(self, record: Batch) -> str:
        return get_template("costing/make/batches/state.html").render({"state": record.state})

    class Meta:
        empty_text = "No batch matches. Search for less, or clear the filter."
