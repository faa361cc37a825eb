"""Pages of goods in: the list, one delivery with its landed costs, a new one."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.deliveries import selectors as deliveries_read
from inventory.deliveries import services as deliveries
from inventory.deliveries.forms import DeliveryFinder, DeliveryForm, LineRows, material_choices
from inventory.deliveries.models import Delivery
from inventory.deliveries.tables import DeliveryTable
from inventory.ledger.tables import per_unit
from inventory.materials.models import Material
from inventory.suppliers import services as suppliers
from inventory.web.lists import ListPage, allowed
from inventory.web.rows import RowsView
from inventory.web.tables import coins
from inventory.web.views import back_to


class Deliveries(ListPage):
    title = "Deliveries"
    find_label = "Find a delivery"
    trail = (("Shelf", "shelf"),)
    table_class = DeliveryTable
    finder_class = DeliveryFinder
    empty_title = "No delivery yet"
    empty_text = "Record what a supplier brought: each line becomes a lot on the shelf at its landed cost."
    action = ("Goods in", "delivery_new")

    def rows(self) -> QuerySet[Delivery]:
        return deliveries_read.deliveries()


@require_safe
def delivery(request: HttpRequest, pk: int) -> HttpResponse:
    """One delivery: its lines, how the carriage was shared, what each material came to."""
    row = get_object_or_404(deliveries_read.deliveries(), pk=pk)
    landed = deliveries_read.landed(row)
    return render(
        request,
        "inventory/deliveries/delivery.html",
        {
            "title": f"Delivery {row.ref}".strip(),
            "room": "Shelf",
            "trail": [("Shelf", reverse("shelf")), ("Deliveries", reverse("deliveries"))],
            "delivery": row,
            "landed": landed,
            "lines": [
                (line, per_unit(line.value, line.movement.quantity, line.material.unit)) for line in landed.lines
            ],
            "may": allowed(request),
        },
    )


class DeliveryNew(RowsView):
    title = "Goods in"
    room = "Shelf"
    template_name = "inventory/deliveries/new.html"
    form_class = DeliveryForm
    rows_class = LineRows
    submit = "Record the delivery"
    cancel_name = "deliveries"

    def row_options(self) -> dict[str, Any]:
        if not hasattr(self, "_choices"):
            self._choices = material_choices()
        return {"materials": self._choices}

    def first_rows(self) -> list[dict[str, Any]]:
        """`?material=CODE` opens the page with that material in its first line."""
        wanted = Material.objects.filter(code=self.request.GET.get("material", "")).first()
        return [{"material": wanted.pk}] if wanted else []

    def get_initial(self) -> dict[str, Any]:
        wanted = Material.objects.filter(code=self.request.GET.get("material", "")).select_related("supplier").first()
        return {"supplier": wanted.supplier.name} if wanted and wanted.supplier else {}

    def enter(self, form: DeliveryForm) -> Delivery:
        data = form.cleaned_data
        with transaction.atomic():
            return deliveries.record(
                supplier=suppliers.named(name=data["supplier"], by=self.request.user),
                on=data["on"],
                ref=data["ref"],
                carriage=data["carriage"] or Decimal(0),
                lines=[row.line() for row in self.rows.filled()],
                by=self.request.user,
                request_key=data["request_key"],
            )

    def done_url(self) -> str:
        """Where the maker came from to record it, else the delivery."""
        return back_to(self.request, reverse("delivery", args=[self.made.pk]))

    def cancel_url(self) -> str:
        return back_to(self.request, super().cancel_url())

    def said(self) -> str:
        total = coins(deliveries_read.landed(self.made).total)
        return f"The delivery from {self.made.supplier.name} stands on the shelf for {total}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Shelf", reverse("shelf")), ("Deliveries", reverse("deliveries"))]
        return super().get_context_data(trail=trail, nothing_to_bring=not self.row_options()["materials"], **more)
