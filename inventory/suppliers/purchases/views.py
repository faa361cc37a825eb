"""Pages of suppliers: the list, one with what it brought, the note about it."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.deliveries import selectors as deliveries
from inventory.deliveries.tables import DeliveryTable
from inventory.skins import selectors as skins
from inventory.skins.tables import SkinTable
from inventory.suppliers import services as suppliers
from inventory.suppliers.models import Supplier
from inventory.suppliers.purchases import selectors as purchases
from inventory.suppliers.purchases.forms import NoteForm, SupplierFinder
from inventory.suppliers.purchases.tables import SupplierTable
from inventory.web.lists import ListPage, allowed
from inventory.web.views import EntryView


class Suppliers(ListPage):
    title = "Suppliers"
    find_label = "Find a supplier"
    trail = (("Shelf", "shelf"),)
    table_class = SupplierTable
    finder_class = SupplierFinder
    empty_title = "No supplier yet"
    empty_text = "A supplier is made with the first delivery or skin that names it."
    action = ("Goods in", "delivery_new")

    def rows(self) -> QuerySet[Supplier]:
        return purchases.suppliers()


@require_safe
def supplier(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Supplier, pk=pk)
    brought = DeliveryTable(
        deliveries.deliveries().filter(supplier=row),
        prefix="d-",
        exclude=("supplier",),
        empty_text="No delivery yet.",
    )
    hides = SkinTable(skins.skins().filter(supplier=row), prefix="s-", exclude=("supplier",), empty_text="No skin yet.")
    return render(
        request,
        "inventory/suppliers/purchases/supplier.html",
        {
            "title": row.name,
            "room": "Shelf",
            "trail": [("Shelf", reverse("shelf")), ("Suppliers", reverse("suppliers"))],
            "supplier": row,
            "deliveries": brought.opened(request),
            "skins": hides.opened(request),
            "may": allowed(request),
        },
    )


class Note(EntryView):
    room = "Shelf"
    template_name = "inventory/web/entry.html"
    form_class = NoteForm
    submit = "Keep the note"
    supplier: Supplier

    def setup(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().setup(request, *args, **kwargs)
        self.supplier = get_object_or_404(Supplier, pk=kwargs["pk"])
        self.title = f"Note on {self.supplier.name}"

    def get_initial(self) -> dict[str, Any]:
        return {"note": self.supplier.note}

    def cancel_url(self) -> str:
        return reverse("supplier", args=[self.supplier.pk])

    def done_url(self) -> str:
        return self.cancel_url()

    def enter(self, form: NoteForm) -> Supplier:
        return suppliers.note(supplier=self.supplier, text=form.cleaned_data["note"], by=self.request.user)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [("Suppliers", reverse("suppliers")), (self.supplier.name, self.cancel_url())]
        return super().get_context_data(trail=trail, **more)
