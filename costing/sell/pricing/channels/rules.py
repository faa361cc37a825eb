"""A way of selling as the arithmetic of prices sees it."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class Channel:
    """A way of selling: it keeps `fee_percent` of the price; each sale also costs `fixed_cost` (postage, box)."""

    name: str
    fee_percent: Decimal = Decimal(0)
    fixed_cost: Decimal = Decimal(0)
