"""What hours, overheads and lacings cost: figures that come to the roll-up from outside."""

from dataclasses import dataclass
from decimal import Decimal

HOUR = 60


@dataclass(frozen=True)
class Rates:
    """What an hour of the owner is to earn, what an hour of work bears of the overheads, what one lacing wears off."""

    wage_per_hour: Decimal
    overhead_per_hour: Decimal
    frame_wear: Decimal
