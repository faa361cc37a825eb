"""Goods in from an order: what is outstanding stands in the page already, and one button confirms it."""

from typing import Any

from django.db.models import Model
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property

from inventory.deliveries import services as deliveries
from inventory.deliveries.forms import DeliveryForm
from inventory.deliveries.models import Delivery
from inventory.deliveries.views import DeliveryNew
from inventory.money import ZERO
from inventory.orders import selectors as orders_read
from inventory.orders.models import Order
from inventory.orders.receipts import services as receipts
from inventory.permits import Act
from inventory.suppliers import rules as suppliers
from inventory.web.trail import Step, to


class GoodsInForm(DeliveryForm):
    """A delivery whose supplier and order are known."""

    supplier = order = None  # type: ignore[assignment]


class GoodsIn(DeliveryNew):
    title = "Goods in: order {self.order}"
    lead = "All that is outstanding from {self.order.supplier} stands below. Change what came otherwise."
    form_class = GoodsInForm
    needs = Act.GOODS
    submit = "It came"

    @cached_property
    def order(self) -> Order:
        return get_object_or_404(orders_read.orders(), number=self.kwargs["number"])

    @cached_property
    def expected(self) -> list[dict[str, Any]]:
        found = []
        for each in orders_read.standing(self.order).lines:
            if each.rest:
                packs, pack, price = receipts.outstanding_packs(each)
                found.append(
                    {"material": each.line.material_id, "packs": packs, "pack_quantity": pack, "pack_price": price}
                )
        return found

    def whose(self) -> Model:
        return self.order

    def get_trail(self) -> tuple[Step, ...]:
        return to(self.order)

    def first_rows(self) -> list[dict[str, Any]]:
        return self.expected

    def get_initial(self) -> dict[str, Any]:
        goods = sum((row["packs"] * (row["pack_price"] or ZERO) for row in self.expected), ZERO)
        of = self.order.supplier
        return {"carriage": suppliers.carriage(goods, of.carriage, of.carriage_free_from)}

    def against(self, form: DeliveryForm) -> Order:
        return self.order

    def enter(self, form: DeliveryForm) -> Delivery:
        found = self.sent(form)
        found["carriage"] = found["carriage"] or ZERO
        return receipts.receive(order=self.order, lines=[deliveries.Line(**row) for row in self.filled()], **found)
