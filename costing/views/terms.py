"""Pages of the terms of selling, and of how the numbers of papers are written. They are the owner's."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.urls import reverse

from costing.book_errors import SeriesRefused
from costing.forms.terms import SeriesForm, TermsForm
from costing.models import Series, Terms
from costing.numbering import Series as Run
from costing.selectors import papers
from costing.services import series, terms
from inventory.errors import Refused
from inventory.services.permits import Act, require
from inventory.views.entry import EntryView


class _OwnersEntry(EntryView):
    room = "Setup"

    def dispatch(self, request: HttpRequest, *args: Any, **options: Any) -> HttpResponseBase:
        require(request.user, Act.SETUP)
        return super().dispatch(request, *args, **options)


class TermsPage(_OwnersEntry):
    form_class = TermsForm
    template_name = "costing/terms/terms.html"
    title = "Terms of selling"
    lead = "They hold from now on. Papers that are issued keep the terms of their day."
    cancel_name = "setup"
    done_message = "The terms are set."

    def get_initial(self) -> dict[str, Any]:
        row = papers.terms()
        return {
            **super().get_initial(),
            **{name: getattr(row, name) for name in TermsForm.base_fields if name != "request_key"},
        }

    def enter(self, form: forms.Form) -> Terms:
        given = {name: value for name, value in form.cleaned_data.items() if name != "request_key"}
        given["storage_per_day"] = given["storage_per_day"] or Decimal(0)
        return terms.set_terms(**given, by=self.request.user)


class SeriesPage(_OwnersEntry):
    form_class = SeriesForm
    template_name = "costing/terms/series.html"
    title = "Numbers of papers"
    lead = "Each kind of paper has a run of its own, without a gap. How it is written can be changed until its first paper."
    cancel_name = "setup_terms"
    done_message = "The numbers are set."

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "rows": _rows()}

    def enter(self, form: SeriesForm) -> object:
        try:
            return series.change_all(written=form.written(), by=self.request.user)
        except SeriesRefused as refusal:
            raise Refused(str(refusal), field=f"{refusal.kind}_{refusal.field}") from None

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        found = [
            (row.get_kind_display(), Run(row.prefix, row.digits).write(row.last + 1), row.last)
            for row in _rows().values()
        ]
        return super().get_context_data(found=found, trail=_trail(), **more)


def _rows() -> dict[str, Series]:
    """Every series as it is written, in the order of its kinds; the usual way (not saved) where none was used yet."""
    there = {row.kind: row for row in Series.objects.all()}
    return {
        kind: there.get(kind) or Series(kind=kind, prefix=series.USUAL[Series.Kind(kind)])
        for kind in Series.Kind.values
    }


def _trail() -> list[tuple[str, str]]:
    return [("Setup", reverse("setup")), ("Terms of selling", reverse("setup_terms"))]
