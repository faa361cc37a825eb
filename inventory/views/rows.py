"""The way from a form with rows to a service, and back with more rows when that was asked."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse

from inventory.forms.rows import MORE, Rows, more, typed
from inventory.views.entry import EntryView

PREFIX = "rows"


class RowsView(EntryView):
    """An `EntryView` whose form is followed by rows. `enter` reads `self.rows`."""

    rows_class: type[Rows]
    rows: Rows

    def row_options(self) -> dict[str, Any]:
        """What every row's form is given."""
        return {}

    def first_rows(self) -> list[dict[str, Any]]:
        """What the rows hold when the page opens."""
        return []

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        self.rows = self.rows_class(initial=self.first_rows(), prefix=PREFIX, form_kwargs=self.row_options())
        return super().get(request, *args, **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if MORE in request.POST:
            return self._with_more(request)
        self.rows = self.rows_class(request.POST, prefix=PREFIX, form_kwargs=self.row_options())
        form = self.get_form()
        if not self.rows.is_valid():
            for complaint in self.rows.complaints():
                form.add_error(None, complaint)
        if form.is_valid():
            return self.form_valid(form)
        return self.form_invalid(form)

    def _with_more(self, request: HttpRequest) -> HttpResponse:
        """The page as it was typed, with further empty rows; nothing is judged and nothing written."""
        self.rows = more(self.rows_class, request.POST, prefix=PREFIX, form_kwargs=self.row_options())
        form = self.get_form_class()(initial=typed(self.get_form_class().base_fields, request.POST))
        return self.render_to_response(self.get_context_data(form=form))

    def get_context_data(self, **more_context: Any) -> dict[str, Any]:
        return super().get_context_data(rows=self.rows, **more_context)
