"""What a year, a piece or a group of pieces brought in: two profits and the bridge between them, and the stock identity.

Owns the arithmetic of results. Must not know where figures come from, nor which of the two profits a tax office wants.
Everything that should hold returns what it misses by instead of assuming that it holds. Results of pieces start from
exact costs and are rounded once.
"""

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
