"""The way from a form with rows to a service, and back with further empty rows when those were asked for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse

from inventory.errors import Refused
from inventory.forms.rows import MORE, Rows, more
from inventory.views.entry import EntryView

PREFIX = "rows"


class RowsView(EntryView):
    """An `EntryView` whose form is followed by rows. Subclasses give `rows_class` and `enter_rows`."""

    template_name = "costing/rows_entry.html"
    rows_class: type[Rows]
    rows_title = "Lines"
    rows_note = "empty rows are passed over"
    row_word = "Line"
    rows: Rows

    def first_rows(self) -> Sequence[dict[str, Any]]:
        """What the rows hold when the page opens."""
        return []

    def row_options(self) -> dict[str, Any]:
        """What every row's form is built with."""
        return {}

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        given = self.first_rows()
        self.rows = self.rows_class(initial=given, prefix=PREFIX, form_kwargs=self.row_options())
        self.rows.extra += len(given)
        return super().get(request, *args, **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if MORE in request.POST:
            return self.with_more(request)
        self.rows = self.rows_class(request.POST, prefix=PREFIX, form_kwargs=self.row_options())
        form = self.get_form()
        if all([form.is_valid(), self.rows.is_valid(), self.others_are_valid()]):
            return self.form_valid(form)
        for complaint in self.complaints():
            form.add_error(None, complaint)
        return self.form_invalid(form)

    def others_are_valid(self) -> bool:
        """For a page with more than one set of rows."""
        return True

    def with_more(self, request: HttpRequest) -> HttpResponse:
        """The same page as typed, with more empty rows; nothing is judged and nothing written."""
        self.rows = more(self.rows_class, request.POST, prefix=PREFIX, form_kwargs=self.row_options())
        shown = self.get_form_class()(**{**self.get_form_kwargs(), "data": None, "files": None})
        shown.initial = {**shown.initial, **as_typed(shown, request)}
        return self.render_to_response(self.get_context_data(form=shown))

    def complaints(self) -> list[str]:
        """What is wrong in the rows, for the summary above the form."""
        return [each.replace("Line", self.row_word, 1) for each in self.rows.complaints()]

    def enter(self, form: Any) -> object:
        try:
            return self.enter_rows(form, [row.cleaned_data for row in self.rows.filled()])
        except Refused as refusal:
            self.point(refusal)
            raise

    def enter_rows(self, form: Any, rows: list[dict[str, Any]]) -> object:
        """Call the one service with the form's and the filled rows' cleaned data."""
        raise NotImplementedError

    def point(self, refusal: Refused) -> None:
        """Put a refusal beside the row it speaks of, too: the only filled one, or the one whose entry it names."""
        written = [row for row in self.rows.filled() if refusal.field in row.fields]
        named = [row for row in written if (said := str(row.cleaned_data.get(refusal.field))) and said in str(refusal)]
        for row in (named or written)[: 1 if named or len(written) == 1 else 0]:
            row.add_error(refusal.field, str(refusal))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(
            rows=self.rows,
            rows_title=self.rows_title,
            rows_note=self.rows_note,
            row_word=self.row_word,
            **more,
        )


def as_typed(form: forms.Form, request: HttpRequest) -> dict[str, Any]:
    """What stands in the form's fields, unchecked."""
    return {
        name: field.widget.value_from_datadict(request.POST, request.FILES, form.add_prefix(name))
        for name, field in form.fields.items()
    }
