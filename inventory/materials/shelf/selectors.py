"""Reads of the shelf for its pages: what would leave it, and what would stay."""

from datetime import date
from decimal import Decimal

from inventory import money, units
from inventory.base import selectors as workshop
from inventory.ledger import selectors as ledger
from inventory.materials.models import Material


def leaving(material: Material, quantity: Decimal, on: date) -> str:
    """What would leave the shelf and what would stay, in words; posts nothing."""
    amount, there = units.show(quantity, material.unit), ledger.available(material, on)
    value = ledger.worth([(material, quantity)], on)[0]
    if value is None or quantity > there:
        held = units.show(max(there, Decimal(0)), material.unit)
        return f"{amount} are more than the {held} on the shelf that day."
    remaining = units.show(there - quantity, material.unit)
    worth = money.show(value, workshop.current().currency)
    return f"{amount} would leave the shelf with {worth}; {remaining} would remain. Nothing is posted yet."
