"""Pages of the terms of selling, and of how the numbers of papers are written. They are the owner's."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from costing.sell.errors import SeriesRefused
from costing.sell.sales.numbering import services as numbering
from costing.sell.sales.numbering.forms import SeriesForm
from costing.sell.sales.numbering.models import Series
from costing.sell.sales.numbering.rules import Series as Run
from costing.sell.sales.terms.views import _OwnersEntry
from inventory.errors import Refused


class SeriesPage(_OwnersEntry):
    form_class = SeriesForm
    template_name = "costing/sell/sales/numbering/series.html"
    title = "Numbers of papers"
    lead = "Each kind of paper has a run of its own, without a gap. How it is written can be changed until its first paper."
    cancel_name = "setup_terms"
    done_message = "The numbers are set."

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "rows": _rows()}

    def enter(self, form: SeriesForm) -> object:
        try:
            return numbering.change_all(written=form.written(), by=self.request.user)
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
        kind: there.get(kind) or Series(kind=kind, prefix=numbering.USUAL[Series.Kind(kind)])
        for kind in Series.Kind.values
    }


def _trail() -> list[tuple[str, str]]:
    return [("Setup", reverse("setup")), ("Terms of selling", reverse("setup_terms"))]
