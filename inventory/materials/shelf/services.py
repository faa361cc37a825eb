"""The opening stock of a material, written through the ledger."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.base.checks import coins
from inventory.ledger import services as ledger
from inventory.ledger.models import Kind, Posting
from inventory.materials.models import Material
from inventory.materials.services import to_base
from inventory.permits import Person


@transaction.atomic
def open_stock(
    *,
    material: Material,
    on: date,
    quantity: Decimal,
    unit: str,
    value: Decimal,
    by: Person = None,
    request_key: str | None = None,
) -> Posting:
    """What was on the shelf when the books began: quantity in `unit`, value in money."""
    amount = to_base(material, quantity, unit)
    arrival = ledger.Arrival(material, amount, coins(value, "The opening value", field="value"), f"{quantity} {unit}")
    return ledger.receive(
        kind=Kind.OPENING, on=on, arrivals=[arrival], by=by, reason="opening stock", request_key=request_key
    )
