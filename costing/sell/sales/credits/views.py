"""Pages of sales: the list, selling in few taps, one paper with its money, crediting it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from costing.sell.payments.services import Paid
from costing.sell.sales import selectors as sales
from costing.sell.sales.credits import services as credits
from costing.sell.sales.credits.forms import CreditForm
from costing.sell.sales.models import Sale
from costing.sell.sales.offers import selectors as offers
from inventory.base import selectors as workshop
from inventory.places.moves import selectors as moves
from inventory.templatetags import figures
from inventory.web.views import EntryView


class SaleCredit(EntryView):
    form_class = CreditForm
    template_name = "costing/sell/sales/credits/credit.html"
    room = "Sales"
    submit = "Credit it"
    danger = True
    made: Sale

    @cached_property
    def sale(self) -> Sale:
        return get_object_or_404(sales.found(self.kwargs["number"]))

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the paper
        return f"Credit {self.sale.number}"

    lead = (
        "The paper stays as it is. A credit note with a number of its own takes back lines, or an amount off them; a"
        " piece of a whole line is stock again at the cost it always had."
    )

    @cached_property
    def lines(self) -> Sequence[Any]:
        return [line for line in self.sale.lines.all() if line.standing and self.sale.kind != Sale.Kind.CREDIT]

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "lines": self.lines}

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today(), "back_to": self.came_from()}

    def came_from(self) -> int | None:
        """Where the first piece stood before it was sold."""
        piece = next((line.article for line in self.lines if line.article), None)
        last = moves.of(piece).last() if piece else None
        stays = last.origin if last and last.origin and last.origin in offers.places_held() else None
        return stays.pk if stays else None

    def enter(self, form: Any) -> Sale:
        found = form.cleaned_data
        return credits.credit(
            sale=self.sale,
            on=found["on"],
            reason=found["reason"],
            lines=None if form.cuts() else form.whole(),
            amounts=form.cuts() or None,
            back_to=found["back_to"],
            refund=Paid(found["amount"], found["how"]) if found["how"] else None,
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        return reverse("sale", args=[self.made.number])

    def cancel_url(self) -> str:
        return reverse("sale", args=[self.sale.number])

    def said(self) -> str:
        return f"{self.made.number} credits {figures.money(-self.made.gross)} of {self.sale.number}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Sales", reverse("sales")), (self.sale.number, self.cancel_url())]
        return super().get_context_data(sale=self.sale, trail=trail, nothing=not self.lines, **more)
