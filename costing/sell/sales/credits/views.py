"""The page that credits a paper."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db.models import QuerySet
from django.utils.functional import cached_property

from costing.sell.payments.services import Paid
from costing.sell.sales import selectors as sales
from costing.sell.sales.credits import services as credits
from costing.sell.sales.credits.forms import CreditForm
from costing.sell.sales.models import Sale
from costing.sell.sales.numbering import selectors as numbering
from costing.sell.sales.offers import selectors as offers
from inventory.templatetags import figures
from inventory.web.questions import Odd
from inventory.web.views import About


class SaleCredit(About[Sale]):
    form_class = CreditForm
    template_name = "costing/sell/sales/credits/credit.html"
    title = "Credit {self.thing.number}"
    submit = "Credit it"
    danger = True
    opens_made = True
    lead = (
        "The paper stays as it is. A credit note with a number of its own credits lines, or an amount off them; a"
        " piece of a whole line is stock again at the cost it always had."
    )
    made: Sale

    def things(self) -> QuerySet[Sale]:
        return sales.found(self.kwargs["number"])

    @cached_property
    def lines(self) -> Sequence[Any]:
        return [line for line in self.thing.lines.all() if line.standing]

    def form_options(self) -> dict[str, Any]:
        return {"lines": self.lines}

    def get_initial(self) -> dict[str, Any]:
        return {"back_to": offers.came_from(self.lines)}

    def odd(self, form: Any) -> Iterable[Odd]:
        yield form["on"], numbering.odd_day(Sale.Kind.CREDIT, form.cleaned_data["on"])

    def enter(self, form: Any) -> Sale:
        found = form.cleaned_data
        return credits.credit(
            sale=self.thing,
            lines=None if form.cuts() else form.whole(),
            amounts=form.cuts() or None,
            refund=Paid(found["amount"], found["how"]) if found["how"] else None,
            by=self.request.user,
            **{name: found[name] for name in ("on", "reason", "back_to", "request_key")},
        )

    def get_success_message(self) -> str:
        return f"{self.made.number} credits {figures.money(-self.made.gross)} of {self.thing.number}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(sale=self.thing, nothing=not self.lines, **more)
