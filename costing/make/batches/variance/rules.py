"""Where a batch differs from its recipe, in money: paid more or less for a thing, and used more or less of it.

Owns the four standard-cost variances: materials price and usage, labour rate and efficiency. Must not know a recipe or a
batch; the caller scales the standard to what was really made. A figure above zero cost more than the standard
(unfavourable), below zero less (favourable). Source: the price and quantity variances of managerial accounting, as in
OpenStax, Principles of Accounting, Volume 2, sec. 8.2 and 8.3.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from costing.make.errors import NotAbove
from inventory.money import Exact


@dataclass(frozen=True)
class Standard:
    """What should have been used for what was made, and at which price for one unit (or hour)."""

    quantity: Exact
    price: Exact


@dataclass(frozen=True)
class Actual:
    """What was used and what that cost in all; the price of one is cost ÷ quantity and never rounded."""

    quantity: Exact
    cost: Exact


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


def variance(standard: Standard, actual: Actual) -> Variance:
    """Price = actual cost - actual quantity × standard price; usage = (actual - standard quantity) × standard price.

    One formula for materials (price, usage) and labour (rate, efficiency: quantity in hours). Nothing used at some cost is
    all price. Raises NotAbove for a quantity or price below zero.

    >>> candy = variance(Standard(Fraction("0.25"), 7), Actual(Fraction("0.50"), Fraction("4.50")))
    >>> candy.price, candy.usage, candy.total
    (Fraction(1, 1), Fraction(7, 4), Fraction(11, 4))
    """
    for what, value in (
        ("The standard quantity", standard.quantity),
        ("The standard price", standard.price),
        ("The quantity used", actual.quantity),
    ):
        if value < 0:
            raise NotAbove(what, value, "correct the entry", zero_too=True)
    at_standard = Fraction(actual.quantity) * Fraction(standard.price)
    return Variance(
        price=Fraction(actual.cost) - at_standard,
        usage=at_standard - Fraction(standard.quantity) * Fraction(standard.price),
    )


def together(variances: Iterable[Variance]) -> Variance:
    """Several lines of one batch added up."""
    return sum(variances, NONE)


def word(amount: Exact) -> str:
    """How a variance is called: it costs more, costs less, or is as planned.

    >>> word(Fraction(1, 2)), word(0)
    ('costs more', 'as planned')
    """
    if not amount:
        return "as planned"
    return "costs more" if amount > 0 else "costs less"
