"""Which agreed price of a job is so odd that the maker is asked. What to ask for it is `costing.sell.jobs.quotes.rules`."""

from collections.abc import Callable, Sequence
from decimal import Decimal

from inventory.usual import span, too_high


def odd_price(species: str, price: Decimal, known: Sequence[Decimal], shown: Callable[[Decimal], str]) -> str | None:
    """What to ask of a price, beside those agreed for skins of its species; None for an ordinary one. `shown` writes money.

    A low one is none: a small repair may cost a tenth of the whole work.

    >>> odd_price("Sheep", Decimal(1800), [Decimal(180), Decimal(95)], "{} EUR".format)
    '1800 EUR is entered as the price of work on a sheep skin; it was agreed at 95 EUR to 180 EUR so far.'
    """
    if not too_high(price, known):
        return None
    entered = f"{shown(price)} is entered as the price of work on a {species.lower()} skin"
    return f"{entered}; it was agreed at {span(known, shown)} so far."
