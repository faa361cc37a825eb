"""The table of a list, and the columns that lists share."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime
from decimal import Decimal
from functools import partial
from typing import Any

import django_tables2 as tables
from django.core.paginator import Paginator
from django.db.models import Model
from django.http import HttpRequest
from django.template.loader import get_template
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inventory import formats, money
from inventory.base import selectors as workshop
from inventory.permits import Act, may
from inventory.web.trail import address

PER_PAGE = 25


def cell(classes: str) -> dict[str, dict[str, str]]:
    return {part: {"class": classes} for part in ("td", "th", "tf")}


NUMBER = cell("num")
FAR = cell("far")
FAR_NUMBER = cell("num far")


class Counted(Paginator):  # type: ignore[type-arg]
    """Pages of rows that are counted already, or counts them."""

    def __init__(self, *args: Any, known: int | None, **options: Any) -> None:
        super().__init__(*args, **options)
        if known is not None:
            self.count = known


class ListTable(tables.Table):
    """A table that sorts and pages itself from the address. The length of a page is not the reader's to choose.

    `money`: the columns that only those see who may read costs, rates and what customers owe.
    """

    caption = ""
    total = Decimal(0)
    money: tuple[str, ...] = ()

    def opened(self, request: HttpRequest, count: int | None = None) -> ListTable:
        """Sorted and turned to the page that the address asks for; a page that is not there is the nearest one.

        `count`: how many rows there are, where that is known.
        """
        self.request = request
        for name in () if may(request.user, Act.MONEY) else self.money:
            self.columns.hide(name)
        if order := request.GET.getlist(self.prefixed_order_by_field):
            self.order_by = order
        self.paginate(partial(Counted, known=count), per_page=PER_PAGE)
        self.page = self.paginator.get_page(request.GET.get(self.prefixed_page_field))
        return self

    def shown(self) -> list[Any]:
        """The records of the open page."""
        return [row.record for row in self.paginated_rows]

    def body(self) -> Iterator[tuple[str, list[tuple[str, Any]]]]:
        """The rows of the open page: the attributes of each, and of its cells with what stands in them. What a column says of all
        its cells is asked once."""
        said = [(column.name, column.attrs["td"].as_html()) for column in self.columns]
        for row in self.paginated_rows:
            yield row.attrs.as_html(), [(attributes, row.get_cell(name)) for name, attributes in said]

    def about(self, record: Any) -> dict[str, Any]:
        """What a cell's template may need beyond its record, read beforehand for the whole page."""
        return {}


class Cell(tables.Column):
    """A cell written by a small template that sees `record`, `value` and what the table says of the record.

    Rendered without the request: the context of a whole page would be worked out again for every cell.
    """

    empty_values = ()

    def __init__(self, template: str, header: str = "", **options: Any) -> None:
        super().__init__(verbose_name=header, **options)
        self.template = template

    def render(self, record: Any, value: Any, table: ListTable) -> str:
        return get_template(self.template).render({"record": record, "value": value, **table.about(record)})


class TagColumn(tables.Column):
    """The number or code of a row, tied to its page by the page's name."""

    def __init__(self, page: str, header: str, **options: Any) -> None:
        self.page = page
        super().__init__(verbose_name=header, **options)

    def render(self, value: str) -> SafeString:
        return format_html('<a class="tag" href="{}">{}</a>', reverse(self.page, args=[value]), value)


class DayColumn(tables.Column):
    def __init__(self, header: str = "Day", **options: Any) -> None:
        super().__init__(verbose_name=header, **options)

    def render(self, value: date) -> str:
        return formats.day(timezone.localtime(value) if isinstance(value, datetime) else value)


class Figure(tables.Column):
    """A figure as people read it: `write` makes the words of the value, or of what `of` finds for the row in its table."""

    def __init__(
        self,
        header: str | None = None,
        *,
        write: Callable[[Any], str] | None = None,
        of: Callable[[Any, Any], Any] | None = None,
        attrs: Any = NUMBER,
        **options: Any,
    ) -> None:
        self.write, self.of = write or coins, of
        if of is not None:
            options = {"accessor": "pk", "orderable": False, **options}
        super().__init__(verbose_name=header, attrs=attrs, **options)

    def render(self, value: Any, record: Any, table: Any) -> str:
        return self.write(value if self.of is None else self.of(table, record))


def coins(value: Decimal | None) -> str:
    return "–" if value is None else money.show(value, workshop.current().currency)


def in_total(table: ListTable) -> str:
    """The footer of a column of money."""
    return coins(table.total)


def link_to(thing: Model, words: str) -> SafeString:
    return format_html('<a href="{}">{}</a>', address(thing), words)
