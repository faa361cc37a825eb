"""The way from a form with rows to a service, and back with further empty rows when those were asked for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict

from inventory.errors import NotAllowed, Refused
from inventory.web.forms import MORE, Rows, more, typed
from inventory.web.views import EntryView

PREFIX_TYPED = "rows"


class TypedRowsView(EntryView):
    """An `EntryView` whose form is followed by rows. Subclasses give `rows_class` and `enter_rows`."""

    template_name = "inventory/web/typed_rows.html"
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
        self.rows = self.rows_class(initial=given, prefix=PREFIX_TYPED, form_kwargs=self.row_options())
        self.rows.extra += len(given)
        return super().get(request, *args, **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if MORE in request.POST:
            return self.with_more(request)
        self.rows = self.rows_class(request.POST, prefix=PREFIX_TYPED, form_kwargs=self.row_options())
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
        self.rows = more(self.rows_class, request.POST, prefix=PREFIX_TYPED, form_kwargs=self.row_options())
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
        """Put a refusal beside the row it speaks of, too, or the only one."""
        written = list(self.rows.filled())
        at = 0 if refusal.row is None and len(written) == 1 else refusal.row
        if at is not None and 0 <= at < len(written) and refusal.field in written[at].fields:
            written[at].add_error(refusal.field, str(refusal))

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


STEP = "step"
LOOK, POST, CHANGE = "look", "post", "change"


class Compared(EntryView):
    """Nothing is written before the differences were shown. `step` says which button was pressed."""

    def look(self, form: Any) -> Any:
        """What differs from the books. Nothing is kept of it."""
        raise NotImplementedError

    def shown(self, form: Any, found: Any) -> dict[str, Any]:
        """What the template needs to show the differences."""
        raise NotImplementedError

    def entered(self, form: Any) -> set[str]:
        """The fields of the first step: a fault in one of them is shown there."""
        raise NotImplementedError

    def typed(self, blank: Any, data: QueryDict) -> dict[str, Any]:
        """The first step as it was filled in, unjudged."""
        return typed(blank.fields, data)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.POST.get(STEP) != CHANGE:
            return super().post(request, *args, **kwargs)
        kind, options = self.get_form_class(), self.get_form_kwargs()
        for name in ("data", "files", "initial"):
            options.pop(name, None)
        blank = kind(**options)
        form = kind(**options, initial=self.typed(blank, request.POST))
        return self.render_to_response(self.get_context_data(form=form))

    def form_valid(self, form: Any) -> HttpResponse:
        return super().form_valid(form) if self.request.POST.get(STEP) == POST else self._differences(form)

    def form_invalid(self, form: Any) -> HttpResponse:
        """What is missing beside a difference, or moved meanwhile, shows the differences anew; a bad entry the first step."""
        if self.request.POST.get(STEP) == POST and not self.entered(form) & set(form.errors):
            return self._differences(form)
        return super().form_invalid(form)

    def _differences(self, form: Any) -> HttpResponse:
        try:
            found = self.look(form)
        except NotAllowed:
            raise
        except Refused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, str(refusal))
            return super().form_invalid(form)
        return self.render_to_response(self.get_context_data(form=form, looked=True, **self.shown(form, found)))


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
