"""The page of how the numbers of papers are written. It is the owner's."""

from typing import Any

from costing.sell.errors import SeriesRefused
from costing.sell.sales.numbering import services as numbering
from costing.sell.sales.numbering.forms import SeriesForm
from costing.sell.sales.numbering.models import Series
from costing.sell.sales.numbering.rules import Series as Run
from inventory.errors import Refused
from inventory.permits import Act
from inventory.web.views import EntryView


class SeriesPage(EntryView):
    form_class = SeriesForm
    template_name = "costing/sell/sales/numbering/series.html"
    title = "Numbers of papers"
    trail = ("setup", "setup_terms")
    needs = Act.SETUP
    lead = "Each kind of paper has a run of its own, without a gap. How it is written can be changed until its first paper."
    cancel_page = "setup_terms"
    success_message = "The numbers are set."

    def form_options(self) -> dict[str, Any]:
        return {"rows": self.series()}

    def enter(self, form: SeriesForm) -> object:
        try:
            return numbering.change_all(written=form.written(), by=self.request.user)
        except SeriesRefused as refusal:
            raise Refused(str(refusal), field=f"{refusal.kind}_{refusal.field}") from None

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        found = [
            (row.get_kind_display(), Run(row.prefix, row.digits).write(row.last + 1), row.last)
            for row in self.series().values()
        ]
        return super().get_context_data(found=found, **more)

    def series(self) -> dict[str, Series]:
        """Every series as it is written, in the order of its kinds; the usual way (not saved) where none was used yet."""
        there = {row.kind: row for row in Series.objects.all()}
        return {kind: there.get(kind) or numbering.usual(kind) for kind in Series.Kind.values}
