"""Two steps in one address: what was found is entered blind, compared with the books, and only then written.

Owns the way between the steps; what is compared, shown and written is the page's own.
"""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict

from inventory.errors import NotAllowed, Refused
from inventory.forms.rows import typed
from inventory.views.entry import EntryView

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
