"""Pages of suppliers: the list, one with what it brought, the note about it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from inventory.deliveries import selectors as deliveries
from inventory.deliveries.tables import DeliveryTable
from inventory.skins import selectors as skins
from inventory.skins.tables import SkinTable
from inventory.suppliers import selectors as suppliers_read, services as suppliers
from inventory.suppliers.models import Supplier
from inventory.suppliers.purchases.forms import NoteForm, SupplierFinder
from inventory.suppliers.purchases.tables import SupplierTable
from inventory.web.lists import ListPage, allowed
from inventory.web.trail import above, page
from inventory.web.views import About


class Suppliers(ListPage):
    title = "Suppliers"
    trail = ("shelf",)
    table_class = SupplierTable
    finder_class = SupplierFinder
    rows = staticmethod(suppliers_read.suppliers)
    empty_title = "No supplier yet"
    empty_text = "A supplier is made with the first delivery or skin that names it."
    action = ("Goods in", "delivery_new")


@require_safe
def supplier(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Supplier, pk=pk)
    brought = DeliveryTable(
        deliveries.deliveries().filter(supplier=row), prefix="d-", exclude=("supplier",), empty_text="No delivery yet."
    )
    hides = SkinTable(skins.skins().filter(supplier=row), prefix="s-", exclude=("supplier",), empty_text="No skin yet.")
    return page(
        request,
        "inventory/suppliers/purchases/supplier.html",
        row.name,
        above(row),
        supplier=row,
        deliveries=brought.opened(request),
        skins=hides.opened(request),
        may=allowed(request),
    )


class Note(About[Supplier]):
    model = Supplier
    form_class = NoteForm
    title = "Note on {self.thing.name}"
    submit = "Save note"
    prefilled = ("note",)

    def enter(self, form: NoteForm) -> Supplier:
        return suppliers.note(supplier=self.thing, text=form.cleaned_data["note"], by=self.request.user)
