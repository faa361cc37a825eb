"""Tables of what a year brought in, over rows that are already worked out (plain dicts of exact figures)."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inventory.templatetags import figures
from inventory.web.tables import DAY, FAR, FAR_NUMBER, NUMBER, ListTable


class CoinColumn(tables.Column):  # type: ignore[misc]
    """Money without its sign: the heading above the table names the currency."""

    def __init__(self, header: str, *, far: bool = False, **options: Any) -> None:
        super().__init__(verbose_name=header, attrs=FAR_NUMBER if far else NUMBER, default="–", **options)

    def render(self, value: Decimal) -> str:
        return figures.amount(value)


class FigureColumn(tables.Column):  # type: ignore[misc]
    """Hours, days, counts."""

    def __init__(self, header: str, *, far: bool = False, **options: Any) -> None:
        super().__init__(verbose_name=header, attrs=FAR_NUMBER if far else NUMBER, default="–", **options)

    def render(self, value: Decimal | int) -> str:
        return f"{value:f}" if isinstance(value, Decimal) else str(value)


class EarnedTable(ListTable):
    """What groups of sales left. `name` is the group's own column, given by the page."""

    name = tables.Column(verbose_name="Group", empty_values=())
    lines = FigureColumn("Lines", far=True)
    taken = CoinColumn("Taken", far=True)
    selling = CoinColumn("Selling costs", far=True)
    book = CoinColumn("Book cost", far=True)
    left = CoinColumn("Left")
    hours = FigureColumn("Hours", far=True)
    per_hour = CoinColumn("Per hour")
    against_full = CoinColumn("Against full", far=True)

    def render_name(self, value: str) -> str:
        return value or "none"

    class Meta:
        empty_text = "Nothing was sold that fits."


class PieceTable(EarnedTable):
    """`links` (by the name of a piece) are the addresses of their pages."""

    caption = "Pieces"
    links: Mapping[str, str] = {}

    name = tables.Column(verbose_name="Piece", accessor="piece")
    on = tables.DateColumn(verbose_name="Day", format=DAY, attrs=FAR)
    papers = tables.Column(attrs=FAR)
    asked = CoinColumn("Asked", far=True)

    def render_name(self, value: str) -> str | SafeString:
        if address := self.links.get(value):
            return format_html('<a class="tag" href="{}">{}</a>', address, value)
        return value

    class Meta:
        sequence = ("name", "on", "papers", "asked", "taken", "selling", "book", "left", "hours", "per_hour", "...")
        exclude = ("lines",)
        empty_text = "Nothing was sold that fits."


class FairTable(ListTable):
    caption = "Fairs"

    fair = tables.Column()
    on = tables.DateColumn(verbose_name="Day", format=DAY, attrs=FAR)
    takings = CoinColumn("Takings", far=True)
    goods = CoinColumn("Goods at book", far=True)
    costs = CoinColumn("Costs", far=True)
    left = CoinColumn("Left")
    stall_hours = FigureColumn("Stall hours", far=True)
    per_stall_hour = CoinColumn("Per stall hour")
    break_even = CoinColumn("Breaks even at", far=True)

    class Meta:
        empty_text = "No fair in this year."


class GivenTable(ListTable):
    caption = "Let go, brought back, given"

    kind = tables.Column(verbose_name="What")
    reason = tables.Column(default="–")
    count = FigureColumn("How often", far=True)
    amount = CoinColumn("Amount")

    class Meta:
        empty_text = "No discount, no return, no gift in this year."


class WaitedTable(ListTable):
    caption = "Waiting and hands"

    piece = tables.Column()
    what = tables.Column(attrs=FAR)
    date_in = tables.DateColumn(verbose_name="Skin came", format=DAY, attrs=FAR)
    finished_on = tables.DateColumn(verbose_name="Finished", format=DAY, attrs=FAR)
    left_on = tables.DateColumn(verbose_name="Left", format=DAY, attrs=FAR, default="still here")
    to_finish = FigureColumn("Days to finish", far=True)
    days = FigureColumn("Days in all")
    hours = FigureColumn("Hours of hands")

    class Meta:
        empty_text = "No piece was finished or left in this year."
