"""Where a batch differs from its recipe, in money: paid more or less for a thing, and used more or less of it.

Owns the four standard-cost variances: materials price and usage, labour rate and efficiency. Must not know a recipe or a
batch; the caller scales the standard to what was really made. A figure above zero cost more than the standard
(unfavourable), below zero less (favourable). Source: the price and quantity variances of managerial accounting, as in
OpenStax, Principles of Accounting, Volume 2, sec. 8.2 and 8.3.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from costing.make.errors import NotAbove
from inventory.money import Exact


@dataclass(frozen=True)
class Variance:
    """Exact money: `price` by price or rate, `usage` by quantity or hours; they add up to `total`."""

    price: Fraction
    usage: Fraction

    @property
    def total(self) -> Fraction:
        """Actual cost - standard cost."""
        return self.price + self.usage

    def __add__(self, other: Variance) -> Variance:
        return Variance(self.price + other.price, self.usage + other.usage)


NONE = Variance(Fraction(0), Fraction(0))


def variance(*, planned: Exact, price: Exact, used: Exact, cost: Exact) -> Variance:
    """Price = cost - used × standard price; usage = (used - planned) × standard price.

    `planned` is the standard quantity for what was made, `price` the standard one of a unit, `cost` that of all that was
    `used`. One formula for materials (price, usage) and labour (rate, efficiency: quantity in hours). Nothing used at some
    cost is all price. Raises NotAbove for a quantity or price below zero.

    >>> candy = variance(planned=Fraction("0.25"), price=7, used=Fraction("0.50"), cost=Fraction("4.50"))
    >>> candy.price, candy.usage, candy.total
    (Fraction(1, 1), Fraction(7, 4), Fraction(11, 4))
    """
    for what, value in (("The standard quantity", planned), ("The standard price", price), ("The quantity used", used)):
        if value < 0:
            raise NotAbove(what, value, "correct the entry", zero_too=True)
    at_standard = Fraction(used) * Fraction(price)
    return Variance(price=Fraction(cost) - at_standard, usage=at_standard - Fraction(planned) * Fraction(price))
