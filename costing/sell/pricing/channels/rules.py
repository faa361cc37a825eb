"""What a price must be, and what a price leaves: floors, margins, hourly earnings, tax on top, rounding to a step.

Owns the arithmetic between a cost and a price on one selling channel. Must not know where a cost comes from, which
tax rate applies, or which price the maker chooses. A price that must cover something is rounded up, never half up.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class Channel:
    """A way of selling: it keeps `fee_percent` of the price; each sale also costs `fixed_cost` (postage, box)."""

    name: str
    fee_percent: Decimal = Decimal(0)
    fixed_cost: Decimal = Decimal(0)
