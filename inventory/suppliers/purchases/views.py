"""Pages of suppliers: the list, one with what it brought, what is known about it."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from inventory.base import selectors as workshop
from inventory.deliveries import selectors as deliveries
from inventory.deliveries.tables import DeliveryTable
from inventory.orders import selectors as orders
from inventory.orders.tables import OrderTable
from inventory.skins import selectors as skins
from inventory.skins.tables import SkinTable
from inventory.suppliers import selectors as suppliers_read, services as suppliers
from inventory.suppliers.models import Supplier
from inventory.suppliers.purchases.forms import SupplierFinder, SupplierForm
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
    placed = OrderTable(
        orders.orders().filter(supplier=row), prefix="o-", exclude=("supplier",), empty_text="No order yet."
    )
    placed.opened(request)
    placed.standings, placed.today = orders.standings(placed.shown()), workshop.today()
    hides = SkinTable(skins.skins().filter(supplier=row), prefix="s-", exclude=("supplier",), empty_text="No skin yet.")
    return page(
        request,
        "inventory/suppliers/purchases/supplier.html",
        row.name,
        above(row),
        supplier=row,
        orders=placed,
        deliveries=brought.opened(request),
        skins=hides.opened(request),
        may=allowed(request),
    )


class SupplierEdit(About[Supplier]):
    model = Supplier
    form_class = SupplierForm
    title = "Edit {self.thing.name}"
    prefilled = ("note", "carriage", "carriage_free_from")

    def enter(self, form: SupplierForm) -> Supplier:
        return suppliers.describe(supplier=self.thing, **self.given(form))
