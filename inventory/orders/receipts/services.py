"""Goods in against an order: the one step from a promise to stock."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from inventory import units
from inventory.base import selectors as workshop
from inventory.base.services import service
from inventory.deliveries import services as deliveries
from inventory.deliveries.models import Delivery
from inventory.errors import Refused, each_row
from inventory.money import ZERO, half_up
from inventory.orders import selectors as orders
from inventory.orders.models import Order
from inventory.orders.selectors import LineStanding, Standing
from inventory.orders.services import hold
from inventory.permits import Act, Person
from inventory.suppliers import rules as suppliers


@service(Act.GOODS, makes=Delivery)
def receive(
    *,
    order: Order,
    on: date,
    lines: Sequence[deliveries.Line] | None = None,
    ref: str = "",
    carriage: Decimal | None = None,
    how: str = "",
    due_on: date | None = None,
    tax_percent: Decimal | None = None,
    with_tax: bool = False,
    original_sum: Decimal | None = None,
    original_currency: str = "",
    bill: bytes | None = None,
    again: bool = True,
    by: Person = None,
    request_key: str | None = None,
) -> Delivery:
    """Goods in by an order. Without `lines` all that is outstanding came, at the expected prices; without a `carriage` it cost what
    the supplier usually takes. The rest is as of any delivery (`deliveries.record`)."""
    row = hold(order)
    if lines is None:
        lines = expected(orders.standing(row))
        if not lines:
            raise Refused(f"Everything of order {row} has come. Enter what came besides as a delivery of its own.")
    if carriage is None:
        goods = sum((each.packs * each.pack_price for each in lines), ZERO)
        carriage = suppliers.carriage(goods, row.supplier.carriage, row.supplier.carriage_free_from) or ZERO
    return deliveries.record(
        order=row,
        supplier=row.supplier,
        on=on,
        lines=lines,
        ref=ref,
        carriage=carriage,
        how=how,
        due_on=due_on,
        tax_percent=tax_percent,
        with_tax=with_tax,
        original_sum=original_sum,
        original_currency=original_currency,
        bill=bill,
        again=again,
        by=by,
    )


def expected(standing: Standing) -> list[deliveries.Line]:
    """What is outstanding as lines of a delivery, at the expected prices; refuses a line whose price nobody knows."""
    return each_row([each for each in standing.lines if each.rest], _at_its_price)


def _at_its_price(each: LineStanding) -> deliveries.Line:
    material = each.line.material
    packs, pack, price = outstanding_packs(each)
    if price is None:
        raise Refused(f"What a pack of {material.name} costs is not known. Enter its price.", field="pack_price")
    return deliveries.Line(material, packs, pack, price, material.unit)


def outstanding_packs(each: LineStanding) -> tuple[Decimal, Decimal, Decimal | None]:
    """Packs, what one holds in the material's unit, and its expected price. What no figure of packs says is one pack of the rest,
    at its part of the price."""
    line, unit = each.line, each.line.material.unit
    if each.packs is not None:
        return each.packs, units.least(line.pack_quantity, unit), line.pack_price
    price = line.pack_price
    if price is not None:
        price = half_up(price * each.rest / line.pack_quantity, workshop.places())
    return Decimal(1), units.least(each.rest, unit), price
