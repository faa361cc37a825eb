"""The rates as the arithmetic of costs takes them."""

from dataclasses import dataclass
from decimal import Decimal


@dataclass(frozen=True)
class Rates:
    """What an hour of the owner is to earn, what an hour of work bears of the overheads, what one lacing wears off."""

    wage_per_hour: Decimal
    overhead_per_hour: Decimal
    frame_wear: Decimal
