"""Purchase orders: placed, described anew, closed when the rest will not come, opened again. Nothing is posted by any of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import IntegrityError, transaction

from inventory import units
from inventory.base import checks
from inventory.base.services import service
from inventory.errors import Refused, each_row
from inventory.materials.models import Material
from inventory.materials.services import packed, to_base
from inventory.orders import selectors as orders
from inventory.orders.models import Order, OrderLine
from inventory.permits import Act, Person, author
from inventory.suppliers.models import Supplier

_TRIES = 5


@dataclass(frozen=True)
class Line:
    """`packs` of `pack_quantity` `unit` each are asked for; `pack_price` is what one is expected to cost, where that is known."""

    material: Material
    packs: Decimal
    pack_quantity: Decimal
    unit: str
    pack_price: Decimal | None = None


@service(Act.GOODS, makes=Order)
def place(
    *,
    supplier: Supplier,
    on: date,
    lines: Sequence[Line],
    number: str = "",
    due_on: date | None = None,
    ref: str = "",
    note: str = "",
    by: Person = None,
    request_key: str | None = None,
) -> Order:
    """Write down what was ordered. Without a `number` it gets the next one. A promise only: no stock, no value, no debt."""
    if not lines:
        raise Refused("The order has no lines. Enter at least one material.")
    bought = each_row(lines, ordered)
    order = Order(supplier=supplier, on=checks.day(on, posts=False), written_by=author(by))
    _describe(order, due_on, ref, note)
    if number:
        order.number = checks.new_code(number, "The order number", Order, field="number")
        order.save()
    else:
        _save_numbered(order)
    for line, (pack, amount) in zip(lines, bought, strict=True):
        OrderLine.objects.create(
            order=order,
            material=line.material,
            packs=line.packs,
            pack_quantity=pack,
            quantity=amount,
            pack_price=line.pack_price,
        )
    return order


@service(Act.GOODS)
def change(*, order: Order, due_on: date | None, ref: str, note: str, by: Person = None) -> Order:
    """What the supplier said since: the day, its number, a note. What was ordered stays as it was."""
    row = hold(order)
    _describe(row, due_on, ref, note)
    row.save(update_fields=["due_on", "ref", "note"])
    return row


@service(Act.GOODS)
def close(*, order: Order, on: date, reason: str, by: Person = None) -> Order:
    """The rest will not come. Closing it twice changes nothing; what came stays."""
    row = hold(order)
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    if (row.closed_on, row.closed_why) == (on, reason):
        return row
    if row.closed_on is not None:
        raise Refused(f"Order {row} is closed since {row.closed_on}. Reopen it first.")
    checks.day(on, posts=False)
    if on < row.on:
        raise Refused(f"An order of {row.on} cannot be closed on {on}, before it was placed.", field="on")
    row.closed_on, row.closed_why = on, reason
    row.save(update_fields=["closed_on", "closed_why"])
    return row


@service(Act.GOODS)
def reopen(*, order: Order, by: Person = None) -> Order:
    """It comes after all. One that is not closed stays as it is."""
    row = hold(order)
    row.closed_on, row.closed_why = None, ""
    row.save(update_fields=["closed_on", "closed_why"])
    return row


def ordered(line: Line) -> tuple[Decimal, Decimal]:
    """What a pack holds and how much is asked for, in the material's base unit; refuses what nobody can order.

    So much as packs of the size that is kept hold: what comes by it, and what a file says of it, is the same to the last place.
    """
    material = line.material
    packed(material, line.packs, line.pack_quantity, line.unit)
    pack = to_base(material, line.pack_quantity, line.unit)
    amount = packed(material, line.packs, units.least(pack, material.unit), material.unit)
    if line.pack_price is not None:
        checks.coins(line.pack_price, f"The price of {line.material.name}", field="pack_price")
    return pack, amount


def hold(order: Order) -> Order:
    """The order, locked: what comes against it and its closing wait for each other."""
    return Order.objects.select_for_update(of=("self",)).select_related("supplier").get(pk=order.pk)


def _describe(order: Order, due_on: date | None, ref: str, note: str) -> None:
    if due_on is not None:
        checks.day(due_on, field="due_on", plan=True, posts=False)
        if due_on < order.on:
            raise Refused(f"It cannot be due on {due_on}, before it was ordered on {order.on}.", field="due_on")
    order.due_on = due_on
    order.ref = checks.text(ref, "The reference", field="ref", longest=40)
    order.note = checks.text(note, "The note", field="note", longest=200)


def _save_numbered(order: Order) -> None:
    """Two phones at once reckon the same number: the later one takes the next."""
    for attempt in range(_TRIES):
        order.number = orders.next_number()
        try:
            with transaction.atomic():
                order.save(force_insert=True)
        except IntegrityError:
            if attempt == _TRIES - 1:
                raise
        else:
            return
