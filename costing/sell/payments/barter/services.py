"""Barter: a sale paid with goods or services at an agreed value. Both sides are written, and no money moves."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.sell.expenses import services as expenses
from costing.sell.payments import services as payments
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale
from inventory.base import checks
from inventory.base.models import How
from inventory.base.services import service
from inventory.deliveries import services as deliveries
from inventory.errors import Refused
from inventory.models import Material
from inventory.permits import Act, Person, author
from inventory.suppliers import services as suppliers

SKINS = "skins"
NOBODY = "Barter"  # who brought it, where the sale names no buyer


@dataclass(frozen=True)
class Goods:
    """A material that came onto the shelf, all of it at the agreed value."""

    material: Material
    quantity: Decimal
    unit: str


@service(Act.BOOKS, makes=Payment)
def trade(
    *,
    sale: Sale,
    amount: Decimal,
    on: date,
    words: str,
    goods: Goods | None = None,
    kind: str = "",
    tax_percent: Decimal | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Payment:
    """`amount` of a sale is paid with what `words` say: `goods`, a cost of some `kind`, or skins, which the maker
    adds at that price.

    The payment counts as income and the other side as goods in or a cost, both at the agreed value and on the same day.
    `tax_percent`: of what came in, the tax in the agreed value that is deducted.
    """
    words = checks.text(words, "What you got", field="words", longest=120, needed=True)
    if (goods is None) == (not kind):
        raise Refused("Say what came in: a material with its quantity, a kind of cost, or skins.", field="kind")
    if tax_percent and kind == SKINS:
        raise Refused("Enter the tax with the skins, when you add them.", field="tax_percent")
    payment = payments.write(
        sale=sale, amount=amount, on=on, how=Payment.How.BARTER, note=f"for {words}", writer=author(by)
    )
    if goods is not None:
        who = sale.customer.name if sale.customer else NOBODY
        deliveries.record(
            supplier=suppliers.named(name=who, by=by),
            on=on,
            lines=[deliveries.Line(goods.material, Decimal(1), goods.quantity, amount, goods.unit)],
            ref=f"barter {payment.number}",
            how=How.BARTER,
            tax_percent=tax_percent,
            with_tax=True,
            by=by,
        )
    elif kind != SKINS:
        said = f"Barter, {sale.number}: {words}"
        expenses.write(
            kind=kind,
            amount=amount,
            on=on,
            words=said,
            how=How.BARTER,
            tax_percent=tax_percent,
            with_tax=True,
            writer=author(by),
        )
    return payment
