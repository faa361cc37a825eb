"""The pages of the terms of selling, and of how the numbers of papers are written. They are the owner's."""

from decimal import Decimal
from typing import Any

from django import forms
from django.db import transaction

from costing.sell.sales.models import Series
from costing.sell.sales.numbering import services as numbering
from costing.sell.sales.numbering.rules import Series as Run
from costing.sell.sales.terms import selectors as terms_read, services as terms
from costing.sell.sales.terms.forms import SeriesForm, TermsForm
from costing.sell.sales.terms.models import Terms
from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.base.identifiers.rules import grouped
from inventory.base.models import Reference
from inventory.permits import Act
from inventory.web.views import EntryView

# Of the form, what the workshop's own row keeps.
OF_WORKSHOP = ("deducts_tax", "iban", "bic", "payment_name", "reference")


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
        shop = workshop.current()
        own = [name for name in TermsForm.base_fields if name not in ("request_key", *OF_WORKSHOP)]
        theirs = {name: getattr(shop, name) for name in OF_WORKSHOP}
        return {**{name: getattr(row, name) for name in own}, **theirs, "iban": grouped(shop.iban)}

    def enter(self, form: forms.Form) -> Terms:
        found = self.given(form)
        found["late_interest_percent"] = found["late_interest_percent"] or Decimal(0)
        with transaction.atomic():
            found["reference"] = found["reference"] or Reference.NONE
            accounting.set_up(by=self.request.user, **{name: found.pop(name) for name in OF_WORKSHOP})
            return terms.set_terms(law=terms_read.terms().law, **found)


class SeriesPage(EntryView):
    form_class = SeriesForm
    template_name = "costing/sell/sales/terms/series.html"
    title = "Numbers of papers"
    trail = ("setup", "setup_terms")
    needs = Act.SETUP
    lead = "Each kind of paper has a run of its own, without a gap. How it is written can be changed until its first paper."
    cancel_page = "setup_terms"
    success_message = "The numbers are set."

    def form_options(self) -> dict[str, Any]:
        return {"rows": self.series()}

    def enter(self, form: SeriesForm) -> object:
        return numbering.change_all(written=form.written(), by=self.request.user)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        found = [
            (row.get_kind_display(), Run(row.prefix, row.digits).write(row.last + 1), row.last - row.first + 1)
            for row in self.series().values()
        ]
        return super().get_context_data(found=found, **more)

    def series(self) -> dict[str, Series]:
        """Every series as it is written, in the order of its kinds; the usual way (not saved) where none was used yet."""
        there = {row.kind: row for row in Series.objects.all()}
        return {kind: there.get(kind) or numbering.usual(kind) for kind in Series.Kind.values}
