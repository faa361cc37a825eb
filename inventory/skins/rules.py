"""Which weight or price of a skin that comes in is so odd that the maker is asked."""

from collections.abc import Callable, Sequence
from decimal import Decimal

from inventory import units
from inventory.money import half_up
from inventory.usual import span, too_high, too_low

# The heaviest hides, of bulls, weigh about 60 kg; a mole's skin weighs a few grams. Common practice, no source.
HEAVIEST_G, LIGHTEST_G = Decimal(80_000), Decimal(2)


def weight(grams: Decimal, unit: str) -> str:
    """A weight of a skin in a sentence, no finer than it is spoken of.

    >>> weight(Decimal("380000.25"), "lb"), weight(Decimal(380), "kg"), weight(Decimal(4), "kg")
    ('837.76 lb', '0.38 kg', '0.004 kg')
    """
    amount = units.from_base(grams, unit, "g")
    return units.told(half_up(amount, 2 if amount >= 1 else 3), unit)


def odd_weight(species: str, grams: Decimal, known: Sequence[Decimal], unit: str) -> str | None:
    """What to ask of a green weight, beside the weights in grams of skins of its kind; None for an ordinary one.

    >>> odd_weight("Rabbit", Decimal(380_000), [Decimal(380), Decimal(610)], "kg")
    '380 kg is entered for a rabbit skin; those taken in so far weighed 0.38 kg to 0.61 kg.'
    >>> odd_weight("Rabbit", Decimal(700), [Decimal(380), Decimal(610)], "kg")
    """
    entered = f"{weight(grams, unit)} is entered for a {species.lower()} skin"
    if known and (too_high(grams, known) or too_low(grams, known)):
        return f"{entered}; those taken in so far weighed {span(known, lambda each: weight(each, unit))}."
    if grams > HEAVIEST_G:
        return f"{entered}; hardly any hide weighs more than {weight(HEAVIEST_G, unit)}."
    if 0 < grams < LIGHTEST_G:
        return f"{entered}; hardly any skin weighs less than {weight(LIGHTEST_G, unit)}."
    return None


def odd_price(species: str, price: Decimal, known: Sequence[Decimal], shown: Callable[[Decimal], str]) -> str | None:
    """The same of what was paid for a skin; `shown` writes money.

    >>> odd_price("Rabbit", Decimal(40), [Decimal(3), Decimal(4)], "{} EUR".format)
    '40 EUR is entered as the price of a rabbit skin; those bought so far cost 3 EUR to 4 EUR.'
    """
    if not price or not (too_high(price, known) or too_low(price, known)):
        return None
    entered = f"{shown(price)} is entered as the price of a {species.lower()} skin"
    return f"{entered}; those bought so far cost {span(known, shown)}."
