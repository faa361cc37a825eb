"""Pages of goods in: the list, one delivery with its landed costs, a new one."""

from collections.abc import Iterator
from decimal import Decimal
from functools import partial
from typing import Any

from django.db import transaction
from django.forms import BoundField
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from inventory import units
from inventory.base import bought, services as entries
from inventory.deliveries import selectors as deliveries_read, services as deliveries
from inventory.deliveries.forms import DeliveryFinder, DeliveryForm, LineRows
from inventory.deliveries.models import Delivery
from inventory.deliveries.tables import DeliveryTable
from inventory.errors import Refused
from inventory.ledger import selectors as ledger
from inventory.materials import selectors as materials_read
from inventory.materials.models import Material
from inventory.money import ZERO
from inventory.orders import rules as orders, selectors as orders_read
from inventory.orders.models import Order
from inventory.permits import Act, require
from inventory.suppliers import services as suppliers
from inventory.web import bills
from inventory.web.lists import ListPage, allowed, asked_number
from inventory.web.questions import Odd
from inventory.web.rows import RowsView
from inventory.web.tables import coins
from inventory.web.trail import above, page
from inventory.web.views import About


class Deliveries(ListPage):
    title = "Deliveries"
    trail = ("shelf",)
    table_class = DeliveryTable
    finder_class = DeliveryFinder
    rows = staticmethod(deliveries_read.deliveries)
    empty_title = "No delivery yet"
    empty_text = "Record what a supplier brought: each line becomes a lot on the shelf at its landed cost."
    action = ("Goods in", "delivery_new")


@require_safe
def delivery(request: HttpRequest, pk: int) -> HttpResponse:
    """One delivery: its lines, how the carriage was allocated, what each material came to."""
    row = get_object_or_404(deliveries_read.deliveries(), pk=pk)
    lines = list(deliveries_read.lines(row))
    return page(
        request,
        "inventory/deliveries/delivery.html",
        f"Delivery {row.ref}".strip(),
        above(row),
        delivery=row,
        correction=deliveries_read.correction(row),
        goods=sum((line.goods for line in lines), ZERO),
        tax=sum((line.tax for line in lines), row.tax),
        foreign=bought.foreign(row, deliveries_read.paid(row, lines)),
        lines=[(line, line.movement, ledger.movement_cost(line.movement)) for line in lines],
        may=allowed(request),
    )


@require_safe
def bill(request: HttpRequest, pk: int) -> HttpResponse:
    """The supplier's paper, for those who may record goods in."""
    require(request.user, Act.GOODS)
    return bills.answer(get_object_or_404(Delivery, pk=pk).bill)


class DeliveryBill(About[Delivery]):
    model = Delivery
    form_class = bills.BillForm
    needs = Act.GOODS
    title = "Their bill for {self.thing}"
    submit = "Keep it"
    success_message = "The bill is kept with the delivery."

    def enter(self, form: bills.BillForm) -> Delivery:
        return deliveries.attach(delivery=self.thing, bill=form.cleaned_data["bill"], by=self.request.user)


class DeliveryNew(RowsView):
    """`?material=CODE` opens the page with that material in its first line, `&packs=N` with so many of its usual packs."""

    title = "Goods in"
    trail = ("shelf", "deliveries")
    template_name = "inventory/deliveries/new.html"
    form_class = DeliveryForm
    rows_class = LineRows
    rows_title = "What came"
    submit = "Record delivery"
    cancel_page = "deliveries"
    opens_made = True
    alike: Delivery | None = None

    @cached_property
    def materials(self) -> list[Material]:
        return list(materials_read.shelf())

    @cached_property
    def wanted(self) -> Material | None:
        asked = self.request.GET.get("material", "")
        return Material.objects.filter(code=asked).select_related("supplier").first()

    def row_options(self) -> dict[str, Any]:
        return {"materials": self.materials}

    def first_rows(self) -> list[dict[str, Any]]:
        packs = asked_number(self.request, "packs") or None
        return [{"material": self.wanted.pk, "packs": packs}] if self.wanted else []

    def get_initial(self) -> dict[str, Any]:
        return {"supplier": self.wanted.supplier.name} if self.wanted and self.wanted.supplier else {}

    def against(self, form: DeliveryForm) -> Order | None:
        """The order that the goods came by."""
        order: Order | None = form.cleaned_data.get("order")
        return order

    def odd(self, form: DeliveryForm) -> Iterator[Odd]:
        """More than is outstanding of the order, or goods of an open order of this supplier that is not named."""
        if entries.used(form.cleaned_data["request_key"]):
            return
        came: dict[Material, tuple[BoundField, Decimal]] = {}
        for row in self.rows.filled():
            line = deliveries.Line(**row.cleaned_data)
            at, before = came.get(line.material, (row["packs"], ZERO))
            came[line.material] = at, before + deliveries.delivered(line)
        order = self.against(form)
        if order is None:
            for material, number in orders_read.not_named(form.cleaned_data["supplier"], came):
                yield form["order"], orders.not_named(material.name, number)
            return
        stands = orders_read.standing(order)
        for material, (at, amount) in came.items():
            show = partial(units.show, unit=material.unit)
            yield at, orders.more_than_ordered(material.name, amount, stands.rest(material.pk), show)

    def enter(self, form: DeliveryForm) -> Delivery:
        found = self.sent(form)
        with transaction.atomic():
            found["supplier"] = suppliers.named(name=found["supplier"], by=self.request.user)
            found["carriage"] = found["carriage"] or Decimal(0)
            return deliveries.record(lines=[deliveries.Line(**row) for row in self.filled()], **found)

    def point(self, form: DeliveryForm, refusal: Refused) -> None:  # type: ignore[override]
        super().point(form, refusal)
        if isinstance(refusal, deliveries.Alike):
            self.alike = refusal.delivery
            form.ask_again()

    def get_success_message(self) -> str:
        total = coins(sum((row.value for row in ledger.movements(self.made.posting)), ZERO))
        return f"The delivery from {self.made.supplier.name} is on the shelf for {total}."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(nothing_to_bring=not self.materials, alike=self.alike, **more)
