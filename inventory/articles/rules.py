"""Which price of a piece is so odd that the maker is asked. What a price must be is reckoned upstairs."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.usual import span, too_high, too_low


@dataclass(frozen=True)
class Usual:
    """Prices to compare one with, and what they are of, in words. `same`: of the like of it, not of anything of the species."""

    what: str
    prices: Sequence[Decimal]
    same: bool = True


def odd_price(name: str, price: Decimal, usual: Usual, shown: Callable[[Decimal], str]) -> str | None:
    """What to ask of a price, beside what is usual for it; None for an ordinary one. `shown` writes money.

    A low one is asked about only beside prices of its like: a pouch may cost a tenth of a rug of the same species.

    >>> rugs = Usual("others of its kind are listed at", [Decimal(150), Decimal(185)])
    >>> odd_price("H01", Decimal(1850), rugs, "{} EUR".format)
    '1850 EUR is entered as the price of H01; others of its kind are listed at 150 EUR to 185 EUR.'
    >>> odd_price("H01", Decimal(150), rugs, "{} EUR".format)
    """
    if not too_high(price, usual.prices) and not (usual.same and too_low(price, usual.prices)):
        return None
    return f"{shown(price)} is entered as the price of {name}; {usual.what} {span(usual.prices, shown)}."
