"""What every list page has in common: a filter bar, a sortable table of 25 rows, and words when it is empty."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.core.paginator import Page, Paginator
from django.db.models import Count, QuerySet, Sum
from django.http import HttpRequest
from django.urls import reverse
from django.views.generic import TemplateView

from inventory.money import ZERO
from inventory.permits import Act, may
from inventory.web.filters import Finder
from inventory.web.tables import PER_PAGE, ListTable
from inventory.web.trail import LABELS
from inventory.web.views import Framed


def asked_for(request: HttpRequest, name: str) -> str:
    """What an address asks for by a name, or nothing."""
    return request.GET.get(name, "")


def asked_number(request: HttpRequest, name: str) -> int | None:
    """The whole number an address asks for by a name; None where it asks for nothing, 0 where it is not one."""
    return whole_number(request.GET.get(name, ""))


def whole_number(value: str) -> int | None:
    """A whole number in an address; None where nothing stands there, 0 where it is not one."""
    return (int(value) if value.isascii() and value.isdigit() and len(value) < 10 else 0) if value else None


def allowed(request: HttpRequest) -> dict[str, bool]:
    """What the reader's role may enter, to leave out buttons that would be refused. The services decide."""
    return {"goods": may(request.user, Act.GOODS), "shed": may(request.user, Act.SHED)}


def total(rows: QuerySet[Any], field: str) -> tuple[Decimal, int]:
    """The sum of a column of a list as it is filtered, whatever the list joins, and how many rows it has."""
    plain = rows.model._default_manager.filter(pk__in=rows.order_by().values("pk"))
    found = plain.aggregate(total=Sum(field), count=Count("pk"))
    return found["total"] or ZERO, found["count"]


@dataclass(frozen=True)
class Part:
    """A part of some rows on a page of something else, turned by a word of its own in the address: what `parts/pager.html` asks."""

    page: Page[Any]
    prefixed_page_field: str
    paginator: Paginator[Any]


def part(request: HttpRequest, rows: QuerySet[Any], name: str) -> Part:
    """The part that the address asks for; one that is not there is the nearest."""
    paginator = Paginator(rows, PER_PAGE)
    return Part(paginator.get_page(request.GET.get(name)), name, paginator)


class ListPage(Framed, TemplateView):
    """Subclasses give `title`, `trail`, `table_class`, `finder_class`, `rows` and the words of an empty list.

    `action`: the label and page name of the main button, for those who may `needs`. `links`: the page names of neighbours;
    `money_links`: of those that only who reads money may open.
    `labelled`: the kind of label that its rows get. `totals`: the column whose sum stands below the table.
    """

    template_name = "inventory/web/list.html"
    table_class: type[ListTable]
    finder_class: type[Finder]
    action = ("", "")
    needs = Act.GOODS
    links: tuple[str, ...] = ()
    money_links: tuple[str, ...] = ()
    labelled = ""
    totals = ""
    empty_title = ""
    empty_text = ""

    def rows(self) -> QuerySet[Any]:
        """The selector's rows, unfiltered."""
        raise NotImplementedError

    def prepare(self, table: Any) -> None:
        """Read what the shown rows need beside themselves, once for the whole page."""

    def get_links(self) -> list[tuple[str, str]]:
        names = (*self.links, *(self.money_links if may(self.request.user, Act.MONEY) else ()))
        found = [(LABELS[name], reverse(name)) for name in names]
        if self.labelled:
            words = asked_for(self.request, "words")
            query = f"?{urlencode({'words': words})}" if words else ""
            found.append(("Print labels", reverse("print_labels", args=[self.labelled]) + query))
        return found

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        finder = self.finder_class(self.request.GET, queryset=self.rows())
        summed, count = total(finder.qs, self.totals) if self.totals else (ZERO, None)
        table = self.table_class(finder.qs).opened(self.request, count)
        table.total = summed
        self.prepare(table)
        looking = any(self.request.GET.get(name) for name in finder.filters)
        label, name = self.action
        context = {
            "finder": finder,
            "looking": looking,
            "clear": self.request.path if looking else "",
            "table": table,
            "action": (label, reverse(name)) if name and may(self.request.user, self.needs) else None,
            "links": self.get_links(),
            "nothing_yet": not looking and not table.paginator.count,
            "empty_title": self.empty_title,
            "empty_text": self.empty_text,
            "may": allowed(self.request),
        }
        return super().get_context_data(**{**context, **more})
