"""The list of articles."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables
from django.template.loader import get_template

from costing.sell.pricing.selectors import Price
from inventory.models import Article, Move
from inventory.templatetags import figures
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Ledger, TagColumn


class ArticleTable(Ledger):
    """`prices` and `earned` (by article id) are given by the view for the rows of the page shown."""

    caption = "Articles"
    prices: dict[int, Price] = {}
    earned: dict[int, Decimal | None] = {}

    number = TagColumn("article", verbose_name="Article")
    kind = tables.Column(order_by=("kind", "number"))
    method = tables.Column(attrs=FAR, order_by=("method", "number"))
    area = tables.Column(attrs=FAR_NUMBER, order_by=("area", "number"), verbose_name="dm²", default="–")
    book_cost = tables.Column(attrs=FAR_NUMBER, order_by=("book_cost", "number"), verbose_name="Book")
    full = tables.Column(
        accessor="cost__full", attrs=FAR_NUMBER, order_by=("cost__full", "number"), verbose_name="Full"
    )
    per_foot = tables.Column(accessor="pk", attrs=FAR_NUMBER, orderable=False, verbose_name="Full a sq ft")
    list_price = tables.Column(attrs=NUMBER, order_by=("list_price", "number"), verbose_name="List", default="–")
    place = tables.Column(order_by=("gone_on", "place__name", "number"), empty_values=(), verbose_name="Where")
    hour = tables.Column(accessor="pk", attrs=FAR_NUMBER, orderable=False, verbose_name="An hour earns")

    def render_area(self, value: Decimal) -> str:
        return figures.figure(value, "dm2")

    def render_book_cost(self, value: Decimal) -> str:
        return figures.money(value)

    def render_full(self, record: Article) -> str:
        return figures.money(self.prices[record.pk].full)

    def render_per_foot(self, record: Article) -> str:
        price = self.prices[record.pk]
        return figures.money(price.per_sq_ft(price.full))

    def render_list_price(self, value: Decimal) -> str:
        return figures.money(value)

    def render_place(self, record: Article) -> str:
        if record.gone_on is not None:
            why = Move.Why(record.gone_why).label
            return get_template("costing/sell/pricing/articles/sold.html").render({"why": why, "on": record.gone_on})
        return str(record.place) if record.place else "–"

    def render_hour(self, value: int) -> str:
        return figures.money(self.earned[value])

    class Meta:
        empty_text = "No article fits that. Search for less, or show all."
