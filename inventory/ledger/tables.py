"""What a measure of a material costs, in words."""

from __future__ import annotations

from decimal import Decimal

from inventory import money, units
from inventory.base import selectors as workshop
from inventory.ledger import selectors as ledger


def per_unit(value: Decimal, quantity: Decimal, unit: str) -> str:
    """Money per unit for people, or a dash where nothing is there."""
    cost = ledger.unit_cost(value, quantity, unit)
    return "–" if cost is None else f"{cost:f} {money.sign(workshop.current().currency)}/{units.label(unit)}"
