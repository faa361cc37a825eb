"""The list of batches."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables
from django.template.loader import get_template

from costing.make.batches.models import Batch
from inventory.templatetags import figures
from inventory.web.tables import DAY_UP as DAY
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Ledger, TagColumn


class BatchTable(Ledger):
    """`books` (by batch id) is given by the view for the rows of the page shown."""

    caption = "Batches"
    books: dict[int, Decimal] = {}

    number = TagColumn("batch", verbose_name="Batch")
    version = tables.Column(verbose_name="Recipe", order_by=("version__recipe__code", "version__number"), attrs=FAR)
    start = tables.DateColumn(format=DAY, order_by=("start", "pk"), attrs=FAR)
    state = tables.Column(order_by=("state", "-start"))
    there = tables.Column(verbose_name="Skins now", attrs=FAR_NUMBER, order_by=("there", "pk"))
    heads = tables.Column(verbose_name="In all", attrs=FAR_NUMBER, order_by=("heads", "pk"))
    litres = tables.Column(verbose_name="Litres", attrs=FAR_NUMBER, order_by=("litres", "pk"), default="–")
    place = tables.Column(verbose_name="Stands", attrs=FAR, default="–", order_by=("place__name", "pk"))
    book = tables.Column(verbose_name="Book so far", accessor="pk", orderable=False, attrs=NUMBER)

    def render_book(self, value: int) -> str:
        return figures.money(self.books.get(value, Decimal(0)))

    def render_litres(self, value: Decimal) -> str:
        return figures.figure(value, "L")

    def render_state(self, record: Batch) -> str:
        return get_template("costing/make/batches/state.html").render({"state": record.state})

    class Meta:
        empty_text = "No batch fits that. Search for less, or show all."
