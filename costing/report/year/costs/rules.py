"""Equipment by its life: an equal share of its price each year, to the coin."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.money import ZERO, allocate


@dataclass(frozen=True)
class WrittenOff:
    """Of one thing in one year: its price, the year's share, what was written off before, what is left at the year's end."""

    price: Decimal
    before: Decimal
    share: Decimal
    left: Decimal


def straight_line(
    price: Decimal, life_years: int, bought: date, year: int, places: int, *, undone: date | None = None
) -> WrittenOff:
    """The share of a calendar year: price ÷ life, a whole share in the year it was bought, split so that all come to the price.

    `undone`: the entry was reversed on that day; that year takes back what was written off. Source: IAS 16, straight line; a
    whole share in the first year is a choice of ours.

    >>> straight_line(Decimal("100.00"), 3, date(2025, 6, 1), 2026, 2)
    WrittenOff(price=Decimal('100.00'), before=Decimal('33.33'), share=Decimal('33.33'), left=Decimal('33.34'))
    """
    shares = allocate(price, [1] * life_years, places)
    last = undone.year if undone else bought.year + life_years
    counted = {bought.year + at: share for at, share in enumerate(shares) if bought.year + at < last}
    if undone:
        counted[undone.year] = -sum(counted.values(), ZERO)
    before = sum((share for when, share in counted.items() if when < year), ZERO)
    share = counted.get(year, ZERO)
    gone = year < bought.year or (undone is not None and year >= undone.year)
    return WrittenOff(price, before, share, ZERO if gone else price - before - share)
