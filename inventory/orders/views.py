"""Pages of orders: the list, one as it stands, a new one, and what becomes of it. Goods in against one is a room of its own."""

from itertools import zip_longest
from typing import Any

from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from inventory.base import selectors as workshop
from inventory.materials import selectors as materials_read
from inventory.materials.models import Material
from inventory.money import ZERO
from inventory.orders import rules, selectors as orders_read, services as orders
from inventory.orders.forms import CloseForm, OrderFinder, OrderForm, OrderLineRows, StatedForm
from inventory.orders.models import Order
from inventory.orders.tables import OrderTable
from inventory.permits import Act
from inventory.suppliers import services as suppliers
from inventory.web.forms import MOST
from inventory.web.lists import ListPage, allowed, whole_number
from inventory.web.rows import RowsView
from inventory.web.trail import above, page
from inventory.web.views import About


class Orders(ListPage):
    title = "Orders"
    trail = ("shelf",)
    lead = "What you asked of a supplier and is still to come. Nothing of it is on the shelf or in the books before goods in."
    table_class = OrderTable
    finder_class = OrderFinder
    rows = staticmethod(orders_read.orders)
    empty_title = "No order yet"
    empty_text = "Write down what you ordered: it is counted as coming, and goods in is then one tap."
    action = ("New order", "order_new")

    def prepare(self, table: OrderTable) -> None:
        table.standings, table.today = orders_read.standings(table.shown()), workshop.today()


@require_safe
def order(request: HttpRequest, number: str) -> HttpResponse:
    """One order: what was asked, what came of it and by which deliveries, what is outstanding."""
    row = get_object_or_404(orders_read.orders(), number=number)
    stands = orders_read.standing(row)
    prices = [each.line.packs * each.line.pack_price for each in stands.lines if each.line.pack_price is not None]
    return page(
        request,
        "inventory/orders/order.html",
        f"Order {row}",
        above(row),
        order=row,
        stands=stands,
        late=rules.overdue(row.due_on, workshop.today()) if stands.open else 0,
        expected=sum(prices, ZERO) if len(prices) == len(stands.lines) else None,
        deliveries=list(orders_read.deliveries(row)),
        may=allowed(request),
    )


class OrderNew(RowsView):
    """`?material=CODE&packs=N`, each as often as there are lines, and `supplier=NAME` open the page with these."""

    title = "New order"
    trail = ("shelf", "orders")
    lead = "What you have ordered. It is counted as coming; stock, cost and debt begin with goods in."
    template_name = "inventory/orders/packs.html"
    form_class = OrderForm
    rows_class = OrderLineRows
    rows_title = "What is ordered"
    submit = "I ordered it"
    cancel_page = "orders"
    opens_made = True
    success_message = "Order {self.made} to {self.made.supplier} is written down."

    @cached_property
    def materials(self) -> list[Material]:
        return list(materials_read.shelf())

    @cached_property
    def wanted(self) -> list[tuple[Material, int | None]]:
        """The materials that the address names, with their packs; a code that nothing has is passed by."""
        known = {row.code: row for row in self.materials}
        asked = self.request.GET
        named = zip_longest(asked.getlist("material"), asked.getlist("packs"), fillvalue="")
        found = [(known[code], whole_number(packs) or None) for code, packs in named if code in known]
        return found[:MOST]

    def row_options(self) -> dict[str, Any]:
        return {"materials": self.materials}

    def first_rows(self) -> list[dict[str, Any]]:
        return [{"material": material.pk, "packs": packs} for material, packs in self.wanted]

    def get_initial(self) -> dict[str, Any]:
        usual = next((material.supplier.name for material, _ in self.wanted if material.supplier), "")
        return {"supplier": self.request.GET.get("supplier") or usual}

    def enter(self, form: OrderForm) -> Order:
        found = self.sent(form)
        with transaction.atomic():
            found["supplier"] = suppliers.named(name=found["supplier"], by=self.request.user)
            return orders.place(lines=[orders.Line(**row) for row in self.filled()], **found)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(nothing_to_bring=not self.materials, **more)


class OfOrder(About[Order]):
    """An entry about one order."""

    things = staticmethod(orders_read.orders)
    needs = Act.GOODS


class OrderEdit(OfOrder):
    form_class = StatedForm
    title = "Edit order {self.thing}"
    lead = "What the supplier said since. What was ordered stays; order anew what is missing."
    prefilled = ("due_on", "ref", "note")

    def enter(self, form: StatedForm) -> Order:
        return orders.change(order=self.thing, **self.given(form))


class OrderClose(OfOrder):
    form_class = CloseForm
    title = "The rest of order {self.thing} will not come"
    lead = "What is outstanding is no longer counted as coming. What came stays."
    submit = "Close order"
    success_message = "Order {self.thing} is closed."

    def enter(self, form: CloseForm) -> Order:
        return orders.close(order=self.thing, **self.given(form))


class OrderReopen(OfOrder):
    title = "Reopen order {self.thing}?"
    lead = "What is outstanding is counted as coming again."
    submit = "Reopen order"
    success_message = "Order {self.thing} is open again."

    def enter(self, form: Any) -> Order:
        return orders.reopen(order=self.thing, by=self.request.user)
