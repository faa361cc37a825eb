"""Goods in: packs at a price, carriage shared over the lines by value, each line a lot on the shelf."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.utils import timezone

from inventory import money
from inventory.base import bills, bought, checks, selectors as workshop_read
from inventory.base.models import How
from inventory.base.services import service
from inventory.deliveries import selectors as deliveries
from inventory.deliveries.models import Delivery, DeliveryLine
from inventory.errors import Refused, Taken, each_row
from inventory.ledger import services as ledger
from inventory.ledger.models import Kind
from inventory.materials.models import Material
from inventory.materials.services import packed, to_base
from inventory.orders.models import Order
from inventory.permits import Act, Person
from inventory.suppliers.models import Supplier


@dataclass(frozen=True)
class Line:
    """`packs` of `pack_quantity` `unit` each, at `pack_price` a pack. `tax_percent`: empty, as the delivery says."""

    material: Material
    packs: Decimal
    pack_quantity: Decimal
    pack_price: Decimal
    unit: str
    tax_percent: Decimal | None = None


class Alike(Refused):
    """One like `delivery` is to be kept, and nobody said that both came."""

    def __init__(self, delivery: Delivery) -> None:
        written = timezone.localtime(delivery.posting.written_at)
        super().__init__(
            f"The same delivery from {delivery.supplier} was entered on {written:%Y-%m-%d}. Open it to see, or tick that both "
            "came.",
            field="again",
        )
        self.delivery = delivery


@service(Act.GOODS, makes=Delivery)
def record(
    *,
    supplier: Supplier,
    on: date,
    lines: Sequence[Line],
    ref: str = "",
    carriage: Decimal = Decimal(0),
    how: str = "",
    due_on: date | None = None,
    tax_percent: Decimal | None = None,
    with_tax: bool = False,
    original_sum: Decimal | None = None,
    original_currency: str = "",
    bill: bytes | None = None,
    order: Order | None = None,
    again: bool = True,
    by: Person = None,
    request_key: str | None = None,
) -> Delivery:
    """Write a delivery. Line value = packs x price, rounded to the coin, plus its share of the carriage.

    Tax at `tax_percent` is deducted: it is no part of the value, whether the prices have it in them (`with_tax`) or not.
    `bill` is the content of the supplier's paper. The carriage is shared by value; by equal parts when everything was free. One
    with the supplier, day and lines of another is refused unless it is meant (`again`). `how` it was paid, or `due_on` where it is
    paid later; neither: not said. `order`: what it was ordered by; it may bring more or less than that, and other goods.
    """
    if not lines:
        raise Refused("The delivery has no lines. Enter at least one material.")
    ref = checks.text(ref, "The reference", field="ref", longest=40)
    checks.coins(carriage, "The carriage", field="carriage")
    if how:
        checks.choice(how, How.values, "way to pay", field="how")
    checks.refuse_paid_and_due(how, due_on, on)
    order = order and _awaiting(order, supplier, on)
    places = workshop_read.places()
    amounts = each_row(lines, delivered)
    bought.check_rate(tax_percent)
    each_row(lines, lambda line: bought.check_rate(line.tax_percent))
    rates = [tax_percent if line.tax_percent is None else line.tax_percent for line in lines]
    typed = [money.half_up(line.packs * line.pack_price, places) for line in lines]
    *parts, freight = bought.parts([*typed, carriage], [*rates, tax_percent], with_tax=with_tax, places=places)
    prices = [part.net for part in parts]
    ledger.lock(line.material for line in lines)  # of two phones at once, the second is to see what the first wrote
    brought = [(line.material.pk, amount, price) for line, amount, price in zip(lines, amounts, prices, strict=True)]
    if not again and (there := deliveries.alike(supplier, on, brought)) is not None:
        raise Alike(there)
    if ref and deliveries.standing().filter(supplier=supplier, ref=ref).exists():
        raise Taken(f"A delivery from {supplier.name} with the reference", ref, field="ref")
    shares = money.allocate(freight.net, prices if any(prices) else [1] * len(prices), places)
    arrivals = [
        ledger.Arrival(
            line.material,
            amount,
            price + share,
            f"{line.packs.normalize():f} x {line.pack_quantity.normalize():f} {line.unit}",
        )
        for line, amount, price, share in zip(lines, amounts, prices, shares, strict=True)
    ]
    posting = ledger.receive(kind=Kind.RECEIPT, on=on, arrivals=arrivals, by=by, reason=f"delivery {ref}".strip())
    delivery = Delivery(supplier=supplier, posting=posting, on=on, ref=ref, carriage=carriage, with_tax=with_tax)
    delivery.how, delivery.due_on, delivery.order = how, due_on, order
    delivery.tax_percent, delivery.tax = tax_percent, freight.tax
    total = sum((part.net + part.tax for part in (*parts, freight)), Decimal(0))
    bought.say_foreign(delivery, total, original_sum, original_currency)
    delivery.bill = bills.keep(bill) if bill is not None else ""
    delivery.save()
    rows = zip(lines, posting.movements.order_by("pk"), shares, rates, parts, strict=True)
    for line, movement, share, rate, part in rows:
        DeliveryLine.objects.create(
            delivery=delivery,
            movement=movement,
            packs=line.packs,
            pack_quantity=to_base(line.material, line.pack_quantity, line.unit),
            pack_price=line.pack_price,
            carriage_share=share,
            tax_percent=rate,
            tax=part.tax,
        )
    return delivery


@service(Act.GOODS)
def attach(*, delivery: Delivery, bill: bytes, by: Person = None) -> Delivery:
    """Keep the supplier's paper of a delivery, in place of one that was kept before."""
    row = Delivery.objects.select_for_update(of=("self",)).get(pk=delivery.pk)
    row.bill = bills.keep(bill)
    row.save(update_fields=["bill"])
    return row


def _awaiting(order: Order, supplier: Supplier, on: date) -> Order:
    """The order, locked, where goods of this supplier and day can have come by it."""
    row = Order.objects.select_for_update(of=("self",)).select_related("supplier").get(pk=order.pk)
    if row.supplier_id != supplier.pk:
        raise Refused(
            f"Order {row} went to {row.supplier}, and this came from {supplier}. Choose an order of theirs, or none.",
            field="order",
        )
    if on < row.on:
        raise Refused(f"Order {row} is of {row.on}, so nothing can have come by it on {on}.", field="on")
    if row.closed_on is not None:
        raise Refused(f"Order {row} is closed since {row.closed_on}. Reopen it first.", field="order")
    return row


def delivered(line: Line) -> Decimal:
    """How much came in, in the material's base unit; refuses what no delivery brings."""
    amount = packed(line.material, line.packs, line.pack_quantity, line.unit)
    checks.coins(line.pack_price, f"The price of {line.material.name}", field="pack_price")
    return amount
