"""What a skin in work is worth: the value a delay risks, and whether more hours on it still pay.

Owns the arithmetic of hours against money for skins not yet sold. Must not know where prices and minutes come from, and
decides nothing: it says what the figures say. Prices are what a sale leaves after its fees
(`costing.pricing.left_after_selling`), so that nothing is counted twice.

Two rules stand beside each other, because they answer two questions:
- `still_pays` looks only ahead. Hours already spent are gone whatever is done, so the money that the hours to come add
  is set against the wage they cost. It is the right rule for "go on with this skin or stop".
- `pays_until` looks at the whole piece: from how many minutes on the price, less what was paid out, earns less than the
  wage for every hour in it. It is the warning light: past it the piece no longer pays its wage, and each further
  sitting lowers the hourly earning unless it raises the price.
"""

from decimal import Decimal
from fractions import Fraction

from costing.make.errors import NotAbove
from inventory.money import Exact, half_up
from inventory.units import MINUTES_PER_HOUR


def value_at_risk(book: Exact, own_minutes: Exact, wage: Decimal, places: int = 2) -> Decimal:
    """Money that a delay puts at risk: book + own minutes ÷ 60 × wage, half up.

    `book` is the money paid for all that is in the tub; `wage` is money an hour. `NotAbove` for minutes below zero.

    >>> value_at_risk(Decimal("52.72"), 528, Decimal(16))
    Decimal('193.52')
    """
    if own_minutes < 0:
        raise NotAbove("The own minutes", own_minutes, "correct the work logged", field="minutes", zero_too=True)
    return half_up(Fraction(book) + Fraction(own_minutes) * Fraction(wage) / MINUTES_PER_HOUR, places)
