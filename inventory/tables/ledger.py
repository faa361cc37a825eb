"""What every list of the ground floor has in common: the classes of its cells, sorting, pages of fixed length."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.core.paginator import EmptyPage, PageNotAnInteger
from django.http import HttpRequest
from django.template.loader import get_template

PER_PAGE = 25
DAY = "j M Y"  # DateColumn does not read DATE_FORMAT


def cell(classes: str) -> dict[str, dict[str, str]]:
    return {part: {"class": classes} for part in ("td", "th", "tf")}


NUMBER = cell("num")
FAR = cell("far")
FAR_NUMBER = cell("num far")


class Ledger(tables.Table):  # type: ignore[misc]
    """A table that sorts and pages itself from the address. The length of a page is not the reader's to choose."""

    caption = ""

    def opened(self, request: HttpRequest) -> Ledger:
        """Sorted and turned to the page that the address asks for; a page that is not there is the nearest one."""
        self.request = request
        if order := request.GET.getlist(self.prefixed_order_by_field):
            self.order_by = order
        wanted = request.GET.get(self.prefixed_page_field, 1)
        try:
            self.paginate(page=wanted, per_page=PER_PAGE)
        except PageNotAnInteger:
            self.page = self.paginator.page(1)
        except EmptyPage:
            self.page = self.paginator.page(self.paginator.num_pages)
        return self

    def shown(self) -> list[Any]:
        """The records of the open page."""
        return [row.record for row in self.paginated_rows]

    def about(self, record: Any) -> dict[str, Any]:
        """What a cell's template may need beyond its record, read beforehand for the whole page."""
        return {}


class Words(tables.Column):  # type: ignore[misc]
    """A cell written by a small template that sees `record`, `value` and what the table says of the record.

    Rendered without the request: the context of a whole page would be worked out again for every cell.
    """

    empty_values = ()

    def __init__(self, template: str, header: str = "", **options: Any) -> None:
        super().__init__(verbose_name=header, **options)
        self.template = f"inventory/cells/{template}.html"

    def render(self, record: Any, value: Any, table: Ledger) -> str:
        return get_template(self.template).render({"record": record, "value": value, **table.about(record)})
