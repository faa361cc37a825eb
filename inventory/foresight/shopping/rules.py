"""What goes into one order to a supplier: what presses, what may come along, and what bringing it costs. Plain values only.

Owns the basket. When each material is to be ordered and how much of it comes from elsewhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from inventory.foresight import lot_size
from inventory.money import ZERO
from inventory.suppliers.rules import carriage

SOON_DAYS = 30

# What comes along is used within a year, as with all that is bought beyond the need. Common practice, no source.
LONGEST_DAYS = 365


@dataclass(frozen=True)
class Line:
    """A material to buy: `quantity` (base units) for `goods`, None where no price is known, by `order_by`; `yearly` is used a
    year. `presses`: it is to be ordered now."""

    code: str
    quantity: Decimal
    goods: Decimal | None
    order_by: date
    presses: bool
    yearly: Fraction = Fraction(0)


@dataclass(frozen=True)
class Basket:
    """One order. `now` must be ordered, by `by`; `soon` may share its carriage. `goods` and `carriage` are of `now` alone.

    `unpriced` lines are in neither. `missing`: goods for so much more are brought free, which `fills` of the soon lines reach.
    """

    now: tuple[Line, ...]
    soon: tuple[Line, ...]
    by: date
    goods: Decimal
    carriage: Decimal | None
    unpriced: int
    missing: Decimal | None
    fills: tuple[Line, ...]

    @property
    def total(self) -> Decimal:
        """Without the carriage where nobody knows it."""
        return self.goods + (self.carriage or ZERO)


def basket(
    lines: Sequence[Line], on: date, usual: Decimal | None = None, free_from: Decimal | None = None
) -> Basket | None:
    """The order for lines of one supplier; None where none of them presses.

    `usual` is what bringing an order costs, `free_from` the worth of goods from which it costs nothing.

    >>> first, later = date(2026, 1, 10), date(2026, 1, 30)
    >>> alum = Line("ALUMK", Decimal(2000), Decimal("11.60"), first, presses=True)
    >>> oil = Line("OIL", Decimal(1000), Decimal("40.00"), later, presses=False)
    >>> found = basket([alum, oil], date(2026, 1, 5), Decimal("9.90"), Decimal(50))
    >>> found.total, found.missing, [line.code for line in found.fills]
    (Decimal('21.50'), Decimal('38.40'), ['OIL'])
    """
    dated = sorted(lines, key=lambda line: (line.order_by, line.code))
    now = tuple(line for line in dated if line.presses)
    if not now:
        return None
    last = on + timedelta(days=reach(dated, usual))
    soon = tuple(line for line in dated if not line.presses and line.order_by <= last)
    goods = sum((line.goods or ZERO for line in now), ZERO)
    brings = carriage(goods, usual, free_from)
    missing = free_from - goods if free_from is not None and brings else None
    return Basket(
        now=now,
        soon=soon,
        by=now[0].order_by,
        goods=goods,
        carriage=brings,
        unpriced=sum(line.goods is None for line in now),
        missing=missing,
        fills=() if missing is None else _fills(soon, missing),
    )


def reach(lines: Sequence[Line], usual: Decimal | None) -> int:
    """So many days ahead a line is soon: 30, or the rhythm in which the goods of a supplier are best ordered together, where that
    is longer (`lot_size.joint`, a line costing nothing but its share of the carriage), up to a year.

    >>> reach([Line("A", Decimal(100), Decimal(20), date(2026, 1, 5), True, Fraction(1000))], Decimal("9.90"))
    256
    """
    held = [
        lot_size.Good(0, lot_size.HOLDING_RATE * Fraction(line.goods) / Fraction(line.quantity), line.yearly)
        for line in lines
        if line.goods and line.yearly
    ]
    if not usual or not held:
        return SOON_DAYS
    # Goods without a cost of their own come every time: the multiple of each is 1.
    cycle = lot_size.joint(usual, held).cycle * LONGEST_DAYS
    return max(SOON_DAYS, min(int(cycle), LONGEST_DAYS))


def _fills(soon: Sequence[Line], missing: Decimal) -> tuple[Line, ...]:
    """Soon lines that reach a worth, the first to be ordered first; none where all of them do not."""
    taken: list[Line] = []
    for line in soon:
        if line.goods:
            taken.append(line)
            missing -= line.goods
            if missing <= 0:
                return tuple(taken)
    return ()
