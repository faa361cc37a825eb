"""The way from a form with rows to a service, and back with further empty rows when those were asked for."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict

from inventory import formats
from inventory.errors import NotAllowed, Refused
from inventory.web.forms import MORE, Rows, with_more
from inventory.web.views import EntryView

PREFIX = "rows"


class RowsView(EntryView):
    """An `EntryView` whose form is followed by rows. `enter` reads `self.rows` or the cleaned rows of `filled()`."""

    template_name = "inventory/web/rows_entry.html"
    rows_class: type[Rows]
    rows_title = "Lines"
    rows_note = "empty rows are ignored"
    row_word = "Line"
    rows: Rows

    def first_rows(self) -> Sequence[dict[str, Any]]:
        """What the rows hold when the page opens."""
        return []

    def row_options(self) -> dict[str, Any]:
        """What every row's form is built with."""
        return {}

    def rows_of(self, data: QueryDict | None = None, **options: Any) -> Rows:
        return self.rows_class(data, prefix=PREFIX, form_kwargs=self.row_options(), **options)

    def filled(self) -> list[dict[str, Any]]:
        """The cleaned data of every row in which something was entered."""
        return [row.cleaned_data for row in self.rows.filled()]

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        given = self.first_rows()
        self.rows = self.rows_of(initial=given)
        self.rows.extra += len(given)
        return super().get(request, *args, **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if MORE in request.POST:
            return self.again(request.POST)
        self.rows = self.rows_of(request.POST)
        form = self.get_form()
        if self.all_valid(form):
            return self.form_valid(form)
        return self.form_invalid(form)

    def all_valid(self, form: forms.Form) -> bool:
        """Whether form and rows can be read; what is wrong in the rows is told above the form too."""
        if all([form.is_valid(), self.rows.is_valid(), self.others_are_valid()]):
            return True
        for complaint in self.complaints():
            form.add_error(None, complaint)
        return False

    def others_are_valid(self) -> bool:
        """For a page with more than one set of rows."""
        return True

    def again(self, data: QueryDict) -> HttpResponse:
        """The same page as typed, with more empty rows; nothing is judged and nothing written."""
        self.rows = with_more(self.rows_class, data, prefix=PREFIX, form_kwargs=self.row_options())
        return self.render_to_response(self.get_context_data(form=self.form_as_typed(data)))

    def complaints(self) -> list[str]:
        """What is wrong in the rows, for the summary above the form."""
        return self.rows.complaints(self.row_word)

    def point(self, form: forms.Form, refusal: Refused) -> None:
        """Beside the row it speaks of, too, or the only one."""
        super().point(form, refusal)
        written = list(self.rows.filled())
        at = 0 if refusal.row is None and len(written) == 1 else refusal.row
        if at is not None and 0 <= at < len(written) and refusal.field in written[at].fields:
            written[at].add_error(refusal.field, formats.dated(str(refusal)))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(
            rows=self.rows, rows_title=self.rows_title, rows_note=self.rows_note, row_word=self.row_word, **more
        )


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

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if request.POST.get(STEP) != CHANGE:
            return super().post(request, *args, **kwargs)
        return self.render_to_response(self.get_context_data(form=self.form_as_typed(request.POST)))

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
            self.point(form, refusal)
            return super().form_invalid(form)
        return self.render_to_response(self.get_context_data(form=form, looked=True, **self.shown(form, found)))
