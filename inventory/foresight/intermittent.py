"""Published forecasts of demand that comes now and then: Croston, Syntetos–Boylan, Teunter–Syntetos–Babai. Exact.

Owns the three formulas and their starts. Knows no material, no day and no database.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import lcm

Number = int | Decimal | Fraction
SMOOTHING = Fraction(1, 10)


@dataclass(frozen=True)
class Smoothed:
    """What one demand takes (`size`), periods from one to the next (`interval`), and the `factor` on their ratio."""

    size: Fraction
    interval: Fraction
    factor: Fraction = Fraction(1)

    @property
    def probability(self) -> Fraction:
        """Of a demand in a period."""
        return 1 / self.interval

    @property
    def forecast(self) -> Fraction:
        """Demand a period, the same for every period ahead."""
        return self.size / self.interval * self.factor

    def unbiased(self, interval: Fraction = SMOOTHING) -> "Smoothed":
        """As Syntetos and Boylan: Croston × (1 − constant of the intervals ÷ 2), for the ratio of two means is too high."""
        return replace(self, factor=1 - interval / 2)


def croston(
    series: Sequence[Number],
    size: Fraction = SMOOTHING,
    interval: Fraction = SMOOTHING,
    start: tuple[Fraction, Fraction] | None = None,
) -> Smoothed:
    """Size and interval smoothed at each demand; silence after the last one changes nothing.

    `series` is demand by period; `size` and `interval` are the smoothing constants (above 0, up to 1). `start` is the first
    estimate of both; None = the first demand, and the first interval counted from the start of the series. A series with a
    demand below zero, or with fewer than two above, is a ValueError. Croston 1972.

    >>> found = croston([0, 0, 2, 7, 0, 0, 0, 5])
    >>> found.size, found.interval
    (Fraction(11, 4), Fraction(73, 25))
    """
    return spaced(*_apart(series), size, interval, start)


def sba(
    series: Sequence[Number],
    size: Fraction = SMOOTHING,
    interval: Fraction = SMOOTHING,
    start: tuple[Fraction, Fraction] | None = None,
) -> Smoothed:
    """`croston` without its bias. Syntetos and Boylan 2005.

    >>> sba([0, 2, 0, 2]).forecast
    Fraction(19, 20)
    """
    return croston(series, size, interval, start).unbiased(interval)


def tsb(
    series: Sequence[Number],
    size: Fraction = SMOOTHING,
    probability: Fraction = SMOOTHING,
    start: Fraction | None = None,
) -> Smoothed:
    """The probability of a demand is smoothed in every period, so that it falls in silence: × (1 − constant) a period.

    `start` is the probability in the first period; None = the share of periods with a demand. The first size is the first
    demand. Errors as `croston`. Teunter, Syntetos and Babai 2011.

    >>> tsb([0, 2, 0, 2, 0]).probability
    Fraction(21267, 50000)
    """
    sizes, _ = _apart(series)
    chance = Fraction(len(sizes), len(series)) if start is None else start
    for demand in series[1:]:
        chance = (1 - probability) * chance + (probability if demand else 0)
    return Smoothed(_smoothed(sizes, size, Fraction(sizes[0])), 1 / chance)


def spaced(
    sizes: Sequence[Number],
    intervals: Sequence[int],
    size: Fraction = SMOOTHING,
    interval: Fraction = SMOOTHING,
    start: tuple[Fraction, Fraction] | None = None,
) -> Smoothed:
    """`croston` of a series given by its demands, each with the periods since the one before it (the first: since the start).

    >>> spaced([2, 7, 5], [3, 1, 4]) == croston([0, 0, 2, 7, 0, 0, 0, 5])
    True
    """
    first_size, first_interval = start or (Fraction(sizes[0]), Fraction(intervals[0]))
    return Smoothed(_smoothed(sizes, size, first_size), _smoothed(intervals, interval, first_interval))


def _apart(series: Sequence[Number]) -> tuple[list[Number], list[int]]:
    """The demands, and the periods that each waited."""
    periods = [period for period, demand in enumerate(series, 1) if demand]
    sizes = [series[period - 1] for period in periods]
    for period, demand in zip(periods, sizes, strict=True):
        if demand < 0:
            raise ValueError(f"a demand of {demand} in period {period} is below zero; take off what came back first")
    if len(sizes) < 2:
        raise ValueError(f"two demands are needed for a forecast, {len(series)} periods have {len(sizes)}")
    return sizes, [later - earlier for earlier, later in zip([0, *periods], periods, strict=False)]


def _smoothed(values: Sequence[Number], by: Fraction, start: Fraction) -> Fraction:
    """by × the newest + (1 − by) × what was before, from `start` (which stands for the first value) on.

    Whole numbers over one denominator until the end: fractions reduce at each step, and are slow with hundreds of demands.
    """
    ratios = [value.as_integer_ratio() for value in (start, *values[1:])]
    common = lcm(*(below for _, below in ratios))
    total, *later = (above * (common // below) for above, below in ratios)
    new, whole = by.as_integer_ratio()
    scale = 1
    for value in later:
        total = (whole - new) * total + new * scale * value
        scale *= whole
    return Fraction(total, common * scale)
