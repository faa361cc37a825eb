"""The page of the terms of selling. It is the owner's."""

from typing import Any

from django import forms

from costing.sell.sales.terms import selectors as terms_read
from costing.sell.sales.terms import services as terms
from costing.sell.sales.terms.forms import TermsForm
from costing.sell.sales.terms.models import Terms
from inventory.permits import Act
from inventory.web.views import EntryView


class TermsPage(EntryView):
    form_class = TermsForm
    template_name = "costing/sell/sales/terms/terms.html"
    title = "Terms of selling"
    trail = ("setup",)
    needs = Act.SETUP
    lead = "They hold from now on. Papers that are issued keep the terms of their day."
    cancel_page = "setup"
    success_message = "The terms are set."

    def get_initial(self) -> dict[str, Any]:
        row = terms_read.terms()
        return {name: getattr(row, name) for name in TermsForm.base_fields if name != "request_key"}

    def enter(self, form: forms.Form) -> Terms:
        return terms.set_terms(**self.given(form))
