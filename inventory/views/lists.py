"""A page with one list: a filter bar, a table of 25 rows, and what to do first when there is nothing yet."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest
from django.urls import reverse
from django.views.generic import TemplateView

from inventory.forms.filters import Finder
from inventory.services.permits import Act, may
from inventory.tables.ledger import Ledger


def allowed(request: HttpRequest) -> dict[str, bool]:
    """What the reader's role may enter, to leave out buttons that would be refused. The services decide."""
    return {"goods": may(request.user, Act.GOODS), "shed": may(request.user, Act.SHED)}


class ListPage(TemplateView):
    """Subclasses give `title`, `room`, `table_class`, `finder_class`, `rows()` and the words of an empty list."""

    template_name = "inventory/list.html"
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
