"""What an order of some size costs, with price breaks, and which size is cheapest over a year.

Owns the price list, the yearly cost and the search for its least value. It knows no pack, no need and no shelf life; that is
`inventory.foresight.lot_size`. Everything is exact but the root, which is cut after twelve places.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

from inventory.money import Exact

_ROOT_STEPS = 10**12


@dataclass(frozen=True)
class Level:
    """From `start` on, up to `end` (None: without end), an order of q costs `base` + `price` × q."""

    start: Fraction
    end: Fraction | None
    base: Fraction
    price: Fraction


@dataclass(frozen=True)
class Prices:
    """Levels of unit price by the quantity of one order.

    Either the whole order has the price of its level ("all units"), or only what goes `further` than the start of a level
    has its price ("incremental"). Source of both: Snyder and Shen, Fundamentals of Supply Chain Theory, 2nd ed., 2019, ch. 3.
    """

    levels: tuple[Level, ...]

    def cost(self, quantity: Fraction) -> Fraction:
        """What an order of `quantity` costs, goods only."""
        level = self.level(quantity)
        return level.base + level.price * quantity

    def level(self, quantity: Fraction) -> Level:
        """The level that an order of `quantity` reaches."""
        return next(level for level in reversed(self.levels) if level.start <= quantity)


def read(breaks: Sequence[tuple[Exact, Exact]], *, further: bool = False) -> Prices:
    """The price list of (from quantity, unit price), the first from nothing.

    `ValueError`: no price, a first one that is not from nothing, quantities that do not rise, prices that do not fall.

    >>> read([(0, 100), (300, 90)]).cost(Fraction(400)), read([(0, 100), (300, 90)], further=True).cost(Fraction(400))
    (Fraction(36000, 1), Fraction(39000, 1))
    """
    steps = [(Fraction(start), Fraction(price)) for start, price in breaks]
    if not steps or steps[0][0] != 0:
        raise ValueError("A price list starts with the price from nothing on.")
    levels: list[Level] = []
    base = Fraction(0)
    for at, (start, price) in enumerate(steps):
        if price < 0:
            raise ValueError(f"A price must not be negative; got {breaks[at][1]}.")
        if at and start <= steps[at - 1][0]:
            raise ValueError(
                f"Price breaks go from small to large orders; {breaks[at][0]} comes after {breaks[at - 1][0]}."
            )
        if at and price >= steps[at - 1][1]:
            raise ValueError(
                f"The price from {breaks[at][0]} on must be lower than the one before it, {breaks[at - 1][1]}."
            )
        if at and further:
            base += (steps[at - 1][1] - price) * start
        levels.append(Level(start, steps[at + 1][0] if at + 1 < len(steps) else None, base, price))
    return Prices(tuple(levels))


def root(value: Fraction) -> Fraction:
    """The square root, cut after twelve places.

    >>> root(Fraction(9, 4)), root(Fraction(2)) ** 2 <= 2
    (Fraction(3, 2), True)
    """
    return Fraction(isqrt(value.numerator * _ROOT_STEPS**2 // value.denominator), _ROOT_STEPS)


@dataclass(frozen=True)
class Year:
    """A year of one good: `order_cost` an order whatever its size, holding as a `rate` of its price, `demand` in units."""

    order_cost: Fraction
    rate: Fraction
    demand: Fraction
    prices: Prices

    def cost(self, quantity: Fraction) -> Fraction:
        """Goods + orders + holding for a year, in orders of `quantity`:

        (order cost + goods of one order) × demand ÷ quantity + rate × goods of one order ÷ 2. The goods count, and holding is a
        rate of what they cost. Source: Snyder and Shen 2019, ch. 3, both discount models.
        """
        goods = self.prices.cost(quantity)
        return (self.order_cost + goods) * self.demand / quantity + self.rate * goods / 2

    def best(
        self, least: Fraction = Fraction(0), most: Fraction | None = None, step: Fraction | None = None
    ) -> Fraction:
        """The quantity from `least` to `most` whose year costs least, in whole `step`s if given; of equals the smallest.

        In each level the cost is lowest at root(2 × (order cost + base) × demand ÷ (rate × price)) or at the nearer end, so only
        those are tried. Where nothing fits, `least`.
        """
        if not self.order_cost and len(self.prices.levels) == 1:
            return least  # each unit more only waits longer
        tried = {quantity for level in self.prices.levels for quantity in self._tried(level, least, most, step)}
        return min(tried, key=lambda quantity: (self.cost(quantity), quantity), default=least)

    def _tried(self, level: Level, least: Fraction, most: Fraction | None, step: Fraction | None) -> list[Fraction]:
        low = max(level.start, least)
        ends = [end for end in (level.end, most) if end is not None]
        holding = self.rate * level.price
        wish = root(2 * (self.order_cost + level.base) * self.demand / holding) if holding else low
        near = [wish] if step is None else [wish // step * step, -(-wish // step) * step]
        if step is not None:
            low = -(-low // step) * step
            ends = [end // step * step for end in ends]
        high = min(ends, default=max(near[-1], low))
        return [min(max(quantity, low), high) for quantity in near] if 0 < high >= low else []
