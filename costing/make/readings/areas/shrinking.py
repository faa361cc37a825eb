"""How skins of a species shrink from wet to dry, learned from one's own pairs of measurements. Decimals; knows no table.

Nothing is published that would hold for every hide, frame and hand: it is told once three of a species were measured both ways.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.money import half_up

LEAST_PAIRS = 3

# Student's t, 0.975, for 2 to 30 degrees of freedom; beyond that the normal distribution's is near enough. NIST/SEMATECH e-Handbook
# of Statistical Methods, 1.3.6.7.2 (figures from memory).
T = [
    *("4.303", "3.182", "2.776", "2.571", "2.447", "2.365", "2.306", "2.262", "2.228", "2.201"),
    *("2.179", "2.160", "2.145", "2.131", "2.120", "2.110", "2.101", "2.093", "2.086", "2.080"),
    *("2.074", "2.069", "2.064", "2.060", "2.056", "2.052", "2.048", "2.045", "2.042"),
]
MANY = Decimal("1.960")


@dataclass(frozen=True)
class Shrinkage:
    """Dry area in parts of the wet one: `mean`, and what 95 of 100 further skins lie within of it, by so many `pairs`."""

    pairs: int
    mean: Decimal
    off: Decimal

    @property
    def least_percent(self) -> Decimal:
        return max(half_up((self.mean - self.off) * 100, 0), Decimal(0))

    @property
    def most_percent(self) -> Decimal:
        return half_up((self.mean + self.off) * 100, 0)


@dataclass(frozen=True)
class Dries:
    """Of one skin: the dry area to expect and how far off it may be, in cm2; or, measured dry, what `percent` of the wet it is."""

    known: Shrinkage
    area: Decimal
    off: Decimal
    percent: Decimal | None = None


def shrinkage(pairs: Sequence[tuple[Decimal, Decimal]]) -> Shrinkage | None:
    """Of (wet, dry) areas: mean ratio, and the prediction interval t · s · √(1 + 1/n) of one more (the same handbook, 4.5.2.4, from
    memory). None for fewer than three.

    >>> shrinkage([(Decimal(100), Decimal(90)), (Decimal(100), Decimal(92)), (Decimal(200), Decimal(176))])
    Shrinkage(pairs=3, mean=Decimal('0.9000'), off=Decimal('0.0994'))
    """
    if len(pairs) < LEAST_PAIRS:
        return None
    ratios = [dry / wet for wet, dry in pairs]
    many = len(ratios)
    mean = sum(ratios, Decimal(0)) / many
    spread = (sum(((ratio - mean) ** 2 for ratio in ratios), Decimal(0)) / (many - 1)).sqrt()
    t = Decimal(T[many - LEAST_PAIRS]) if many - LEAST_PAIRS < len(T) else MANY
    return Shrinkage(many, half_up(mean, 4), half_up(t * spread * (1 + Decimal(1) / many).sqrt(), 4))


def dries(known: Shrinkage | None, wet: Decimal | None, dry: Decimal | None) -> Dries | None:
    """What is told of one skin by those of its species; None where nothing can be.

    >>> dries(Shrinkage(3, Decimal("0.9"), Decimal("0.1")), Decimal(8000), None)
    ... # doctest: +ELLIPSIS
    Dries(known=..., area=Decimal('7200.0'), off=Decimal('800.0'), percent=None)
    """
    if known is None or not wet:
        return None
    percent = half_up(dry * 100 / wet, 0) if dry else None
    return Dries(known, half_up(wet * known.mean, 1), half_up(wet * known.off, 1), percent)
