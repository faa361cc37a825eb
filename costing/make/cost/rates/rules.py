"""Shares of a batch's costs: which skin bears how much of each line, exactly.

Owns the sharing rule and the two costs that stand side by side: *book* (money paid) and *full* (book, own time,
overhead and frame wear). Everything is a `Fraction` until `rounded` makes the figures that people read, once.
Must not read a database, know a currency, or round on the way.
"""

from dataclasses import dataclass
from decimal import Decimal

HOUR = 60


@dataclass(frozen=True)
class Rates:
    """What an hour of the owner is to earn, what an hour of work bears of the overheads, what one lacing wears off."""

    wage_per_hour: Decimal
    overhead_per_hour: Decimal
    frame_wear: Decimal
