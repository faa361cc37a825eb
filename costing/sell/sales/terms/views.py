"""Pages of the terms of selling, and of how the numbers of papers are written. They are the owner's."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.http import HttpRequest
from django.http.response import HttpResponseBase

from costing.sell.sales.terms import selectors as terms_read
from costing.sell.sales.terms import services as terms
from costing.sell.sales.terms.forms import TermsForm
from costing.sell.sales.terms.models import Terms
from inventory.permits import Act, require
from inventory.web.views import EntryView


class _OwnersEntry(EntryView):
    room = "Setup"

    def dispatch(self, request: HttpRequest, *args: Any, **options: Any) -> HttpResponseBase:
        require(request.user, Act.SETUP)
        return super().dispatch(request, *args, **options)


class TermsPage(_OwnersEntry):
    form_class = TermsForm
    template_name = "costing/sell/sales/terms/terms.html"
    title = "Terms of selling"
    lead = "They hold from now on. Papers that are issued keep the terms of their day."
    cancel_name = "setup"
    done_message = "The terms are set."

    def get_initial(self) -> dict[str, Any]:
        row = terms_read.terms()
        return {
            **super().get_initial(),
            **{name: getattr(row, name) for name in TermsForm.base_fields if name != "request_key"},
        }

    def enter(self, form: forms.Form) -> Terms:
        given = {name: value for name, value in form.cleaned_data.items() if name != "request_key"}
        given["storage_per_day"] = given["storage_per_day"] or Decimal(0)
        return terms.set_terms(**given, by=self.request.user)
