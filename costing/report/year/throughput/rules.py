"""Whether the hours of a finished piece were probably not logged."""

from fractions import Fraction

from costing.make.labour.rules import Usual
from inventory.money import Exact


def looks_unlogged(minutes: Exact, usual: Usual | None, part: Fraction = Fraction(1, 2)) -> bool:
    """Whether a piece has so few minutes that some were likely never written: fewer than `part` of the least usual.

    Minutes so far, and the minutes of its kind from `costing.make.labour.rules.usual`; without any, nothing can be said. Half is
    common practice, no source.

    >>> looks_unlogged(60, Usual(Fraction(500), Fraction(480), Fraction(555), 3)), looks_unlogged(60, None)
    (True, False)
    """
    return usual is not None and Fraction(minutes) < part * usual.low
