"""How far a figure is from those that were kept before, so that a slip of the hand is asked about and no ordinary figure is.

Knows no noun: which figures are alike, and the sentence, are the noun's own (`rules.py` beside it).
"""

from collections.abc import Callable, Sequence
from decimal import Decimal
from statistics import median

# A slipped point or a missing unit is ten times off. Of some figures the spread is known too: five times beyond all of them.
TIMES, BEYOND, SOME = 10, 5, 3


def too_high(value: Decimal, known: Sequence[Decimal]) -> bool:
    """Ten times the middle of those kept, or more than five times the highest of at least three.

    >>> too_high(Decimal(240), [Decimal(24)]), too_high(Decimal(230), [Decimal(24)])
    (True, False)
    >>> too_high(Decimal(230), [Decimal(20), Decimal(30), Decimal(45)]), too_high(Decimal(999), [])
    (True, False)
    """
    if not known:
        return False
    return value >= TIMES * median(known) or (len(known) >= SOME and value > BEYOND * max(known))


def too_low(value: Decimal, known: Sequence[Decimal]) -> bool:
    """The same downwards.

    >>> too_low(Decimal("2.40"), [Decimal(24)]), too_low(Decimal(5), [Decimal(24)]), too_low(Decimal(1), [])
    (True, False, False)
    """
    if not known or value <= 0:  # what is nothing or less is refused, not asked about
        return False
    return TIMES * value <= median(known) or (len(known) >= SOME and BEYOND * value < min(known))


def span(known: Sequence[Decimal], shown: Callable[[Decimal], str]) -> str:
    """From the least to the most of those kept, in words.

    >>> span([Decimal(3), Decimal(1)], "{} kg".format), span([Decimal(3)], "{} kg".format)
    ('1 kg to 3 kg', '3 kg')
    """
    low, high = shown(min(known)), shown(max(known))
    return low if low == high else f"{low} to {high}"
