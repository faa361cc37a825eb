"""The list of articles."""

from collections.abc import Mapping

import django_tables2 as tables
from django.template.loader import get_template

from costing.sell.pricing.selectors import Price
from inventory.base import measures
from inventory.models import Article, Move
from inventory.web.tables import FAR, FAR_NUMBER, Cell, Figure, ListTable


class ArticleTable(ListTable):
    """`prices` (by article id) is given by the view for the rows of the page shown."""

    caption = "Articles"
    money = ("book_cost", "full", "per_foot", "hour")
    prices: Mapping[int, Price] = {}

    number = Cell("costing/sell/pricing/articles/number.html", "Article")
    kind = tables.Column(attrs=FAR, order_by=("kind", "number"))
    method = tables.Column(attrs=FAR, order_by=("method", "number"))
    area = Figure(
        "Area",
        write=lambda value: measures.area(value).partition(" (")[0],
        attrs=FAR_NUMBER,
        order_by=("area", "number"),
        default="–",
    )
    book_cost = Figure("Book", attrs=FAR_NUMBER, order_by=("book_cost", "number"))
    full = Figure(
        "Full",
        attrs=FAR_NUMBER,
        of=lambda table, row: table.prices[row.pk].full,
        accessor="cost__full",
        orderable=True,
        order_by=("cost__full", "number"),
    )
    per_foot = Figure("Full a sq ft", attrs=FAR_NUMBER, of=lambda table, row: table.prices[row.pk].per("sq_ft")["full"])
    list_price = Figure("List price", order_by=("list_price", "number"), default="–")
    place = tables.Column("Location", order_by=("gone_on", "place__name", "number"), empty_values=())
    hour = Figure("An hour earns", attrs=FAR_NUMBER, of=lambda table, row: table.prices[row.pk].earned_per_hour)

    def render_place(self, record: Article) -> str:
        if record.gone_on is not None:
            why = Move.Why(record.gone_why).label
            return get_template("costing/sell/pricing/articles/sold.html").render({"why": why, "on": record.gone_on})
        return str(record.place) if record.place else "–"

    class Meta:
        empty_text = "No article matches. Search for less, or clear the filter."
