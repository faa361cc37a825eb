"""What every list page upstairs has in common: a filter bar, a sortable table of 25 rows, and words when it is empty."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import Http404, HttpRequest
from django.urls import reverse
from django.views.generic import TemplateView

from inventory.forms.filters import Finder
from inventory.services.permits import Act, may
from inventory.tables.ledger import Ledger


def asked_for(request: HttpRequest, name: str) -> str:
    """What an address asks for by a name; what no database could hold is not found."""
    value = request.GET.get(name, "")
    if "\x00" in value:
        raise Http404
    return value


class ListPage(TemplateView):
    """Subclasses give `table_class`, `finder_class`, `rows` and the words; `prepare` reads more for the page shown.

    `links` are (label, page name) of the neighbours.
    """

    template_name = "costing/list.html"
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
