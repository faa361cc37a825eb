"""Losses: how often skins are lost, what one lost skin costs, and what that means for the next purchase or the next hour.

Owns loss rates, writing off or spreading, the most to pay for a raw skin, and stop-or-go. Must not know a database, and
decides nothing: both ways to bear a loss are shown. A loss that is usual in the trade may be spread over the good units,
an unusual one is written off (cost accounting's normal and abnormal spoilage; IAS 2 par. 16 keeps abnormal waste out of
cost); which one it was is the maker's to say.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing.make.errors import NotAbove
from inventory.money import Exact, half_up


@dataclass(frozen=True)
class Spread:
    """What one survivor would bear more, half up from its exact share."""

    book: Decimal
    full: Decimal


@dataclass(frozen=True)
class Loss:
    """A lost skin's cost less its salvage, written off whole or spread: both results side by side.

    `each` is empty when nothing survived, so that there is nothing to spread on.
    """

    book: Decimal
    full: Decimal
    each: dict[str, Spread]


def reallocate(book: Exact, full: Exact, salvage: Decimal, survivors: Mapping[str, Exact], places: int = 2) -> Loss:
    """A loss written off and spread: loss = cost - salvage, a survivor's share = loss × weight ÷ weights.

    `book` and `full` are the skin's exact costs when it was lost, `salvage` what it still brought; weights are 1 by head,
    grams or cm². More salvage than cost gives a loss below zero. Raises NotAbove for salvage below zero or a weight
    that is not above it.

    >>> lost = reallocate(Fraction(11047, 300), Fraction("85.49"), Decimal("10.00"), {"H04": 1, "H06": 1})
    >>> lost.book, lost.full, lost.each["H04"]
    (Decimal('26.82'), Decimal('75.49'), Spread(book=Decimal('13.41'), full=Decimal('37.75')))
    """
    if salvage < 0:
        raise NotAbove("The salvage", salvage, "enter what it still brought, or 0", field="salvage", zero_too=True)
    for skin, weight in survivors.items():
        if weight <= 0:
            raise NotAbove(f"The sharing weight of {skin}", weight, "enter its weight or area")
    book_loss, full_loss = Fraction(book) - Fraction(salvage), Fraction(full) - Fraction(salvage)
    weights = sum((Fraction(weight) for weight in survivors.values()), Fraction(0))
    each = {
        skin: Spread(
            half_up(book_loss * Fraction(weight) / weights, places),
            half_up(full_loss * Fraction(weight) / weights, places),
        )
        for skin, weight in survivors.items()
    }
    return Loss(half_up(book_loss, places), half_up(full_loss, places), each)
