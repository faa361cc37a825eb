"""Lines of a paper as EN 16931 has them: without tax, and quantity × price - allowance to the cent.

The program rounds tax once a rate and shares it over the lines, so the net of a line is frozen and is what must come out. Prices
that include tax have no exact price without it: the standard lets a unit price carry more decimals, and this finds one that fits.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inventory.money import ZERO, half_up
from workshop.documents.einvoice.rules import PLACES

FINEST = 12  # decimals; a thousandth of a piece at a price of a million still fits


@dataclass(frozen=True)
class Priced:
    """half_up(quantity × price) - allowance == net, always."""

    quantity: Decimal
    price: Decimal
    allowance: Decimal
    net: Decimal


def priced(quantity: Decimal, price: Decimal, net: Decimal, *, discounted: bool) -> Priced:
    """A line by what was frozen: how many, the price of one without tax as the paper prints it, what it came to.

    A discount is what is left between quantity × price and the net, so it stands without its tax. Where the price is not the one
    that the net came from (a coin went to another line), the price follows from the net, with as few decimals as will do.

    >>> priced(Decimal(1), Decimal("147.4104"), Decimal("147.41"), discounted=False).price
    Decimal('147.4104')
    >>> priced(Decimal(3), Decimal("0.8065"), Decimal("2.40"), discounted=False).price
    Decimal('0.80')
    >>> priced(Decimal(2), Decimal("38.00"), Decimal("75.00"), discounted=True).allowance
    Decimal('1.00')
    """
    if net < 0:
        quantity = -quantity
    whole = half_up(quantity * price, PLACES)
    off = whole - net
    if not off or (discounted and off > 0):
        return Priced(quantity, price, off, net)
    exact = Fraction(net) / Fraction(quantity)
    for places in range(PLACES, FINEST + 1):
        found = half_up(exact, places)
        if half_up(quantity * found, PLACES) == net:
            break
    return Priced(quantity, found, ZERO, net)
