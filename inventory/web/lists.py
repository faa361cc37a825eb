"""What every list page upstairs has in common: a filter bar, a sortable table of 25 rows, and words when it is empty."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.urls import reverse
from django.views.generic import TemplateView

from inventory.permits import Act, may
from inventory.web.forms import Finder
from inventory.web.tables import Ledger


def asked_for(request: HttpRequest, name: str) -> str:
    """What an address asks for by a name; what no database could hold is not found."""
    value = request.GET.get(name, "")
    if "\x00" in value:
        raise Http404
    return value


class SortedListPage(TemplateView):
    """Subclasses give `table_class`, `finder_class`, `rows` and the words; `prepare` reads more for the page shown.

    `links` are (label, page name) of the neighbours.
    """

    template_name = "inventory/web/sorted_list.html"
    table_class: type[Ledger]
    finder_class: type[Finder]
    title = ""
    room = ""
    lead = ""
    new_name = ""
    new_label = ""
    new_act = Act.SHED
    links: tuple[tuple[str, str], ...] = ()
    empty_title = ""
    empty_text = ""

    def rows(self) -> QuerySet[Any]:
        raise NotImplementedError

    def prepare(self, table: Any) -> None:
        """Read what the shown rows need beside themselves, once for the whole page."""

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        finder = self.finder_class(self.request.GET or None, queryset=self.rows())
        table = self.table_class(finder.qs).opened(self.request)
        self.prepare(table)
        return super().get_context_data(
            title=self.title,
            room=self.room,
            lead=self.lead,
            finder=finder,
            table=table,
            new_url=reverse(self.new_name) if self.new_name and may(self.request.user, self.new_act) else "",
            new_label=self.new_label,
            links=[(label, reverse(name)) for label, name in self.links],
            empty_title=self.empty_title,
            empty_text=self.empty_text,
            clear=self.request.path,
            nothing_yet=not self.request.GET and not table.paginator.count,
            **more,
        )


def allowed(request: HttpRequest) -> dict[str, bool]:
    """What the reader's role may enter, to leave out buttons that would be refused. The services decide."""
    return {"goods": may(request.user, Act.GOODS), "shed": may(request.user, Act.SHED)}


class ListPage(TemplateView):
    """Subclasses give `title`, `room`, `table_class`, `finder_class`, `rows()` and the words of an empty list."""

    template_name = "inventory/web/list.html"
    title = ""
    room = "Shelf"
    lead = ""
    find_label = ""
    trail: tuple[tuple[str, str], ...] = ()
    table_class: type[Ledger]
    finder_class: type[Finder]
    empty_title = ""
    empty_text = ""
    action: tuple[str, str] | None = None
    needs = Act.GOODS

    def rows(self) -> QuerySet[Any]:
        """The selector's rows, unfiltered."""
        raise NotImplementedError

    def table(self, rows: QuerySet[Any]) -> Ledger:
        return self.table_class(rows)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        everything = self.rows()
        finder = self.finder_class(self.request.GET, queryset=everything)
        table = self.table(finder.qs).opened(self.request)
        looking = any(self.request.GET.get(name) for name in finder.filters)
        may_enter = may(self.request.user, self.needs)
        return super().get_context_data(
            title=self.title,
            room=self.room,
            lead=self.lead,
            trail=[(label, reverse(name)) for label, name in self.trail],
            table=table,
            filter_form=finder.form,
            find_label=self.find_label,
            clear=self.request.path if looking else "",
            nothing_yet=not looking and not table.paginator.count,
            empty_title=self.empty_title,
            empty_text=self.empty_text,
            action=(self.action[0], reverse(self.action[1])) if self.action and may_enter else None,
            may=allowed(self.request),
            **more,
        )
