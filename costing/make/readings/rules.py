"""When a skin on the frame will be ready to soften, told from its falling weight; and which readings can be true.

Owns the drying curve and the limits of readings. Floats are allowed here and nowhere else in the rules: no money and no
stock comes out of this module. Must not read a database or decide when a skin is ready: hand and eye do, this is a hint.

Model: a skin loses water at a rate in step with the water it still holds, w(t) = dry + A e^(-kt) (first-order drying, the
usual textbook approximation of the falling-rate period). It fits shade and steady air; sun, stove and frost break it.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from inventory.errors import Refused
from inventory.money import half_up

LEAST_READINGS = 3

# Share of its water a skin still holds when softening begins and when it is too late. Common practice, no source: these
# stand until the maker sets others.
DAMP_FROM = Fraction(2, 5)
DAMP_UNTIL = Fraction(1, 5)

# A dry weight found below this part of the last weighing means that the fall is still a straight line.
_LEAST_DRY = 0.01
_FARTHEST_DAYS = 366
_GOLDEN = (math.sqrt(5) - 1) / 2
_SECONDS_A_DAY = 86400.0
_PIECES = 48

_TOO_FEW = (
    "it was not weighed yet, and it takes three weighings",
    "it was weighed once, and it takes three weighings",
    "it was weighed twice, and it takes three weighings",
)


@dataclass(frozen=True)
class Reading:
    """One weighing in grams, at a moment that knows its zone."""

    at: datetime
    grams: Decimal

    def __post_init__(self) -> None:
        check_weight(self.grams)


@dataclass(frozen=True)
class Window:
    """When the skin passes the two shares of its water, at which weights, and the dry weight it tends to."""

    begins: datetime
    ends: datetime
    begins_g: Decimal
    ends_g: Decimal
    dry_g: Decimal


@dataclass(frozen=True)
class Course:
    """How a skin dries: its weighings in order, the curve through them up to the end of the window, and the window."""

    weighed: tuple[Reading, ...]
    line: tuple[tuple[datetime, Decimal], ...]
    window: Window

    def water_left(self, grams: Decimal) -> Decimal:
        """Percent of the first weighing's water that a weight still holds, half up: 0 at the dry weight.

        >>> noons = [datetime(2025, 2, day, 12, tzinfo=UTC) for day in (3, 5, 7)]
        >>> weights = [Reading(noon, Decimal(grams)) for noon, grams in zip(noons, (3000, 2000, 1500))]
        >>> course(weights).water_left(Decimal(1500))
        Decimal('25')
        """
        first = self.weighed[0].grams
        return half_up(100 * Fraction(grams - self.window.dry_g) / Fraction(first - self.window.dry_g), 0)


@dataclass(frozen=True)
class _Curve:
    """w = dry + exp(log_a - k t), t in days after the first weighing; `miss` is the sum of squared misses in grams."""

    dry: float
    log_a: float
    k: float
    miss: float

    def days_to(self, water: float) -> float:
        return (self.log_a - math.log(water)) / self.k

    def at(self, day: float) -> float:
        return self.dry + math.exp(self.log_a - self.k * day)


def check_ph(value: Decimal) -> Decimal:
    """A pH from 0 to 14; refused outside of that.

    >>> check_ph(Decimal("4.2"))
    Decimal('4.2')
    """
    return _between("A pH", value, 0, 14, "", "ph")


def check_celsius(value: Decimal) -> Decimal:
    """A temperature of bath or shed from -20 to 80 °C; refused outside of that."""
    return _between("A temperature", value, -20, 80, " °C", "celsius")


def check_weight(grams: Decimal) -> Decimal:
    """A weight above zero; refused if it is not."""
    if not grams.is_finite() or grams <= 0:
        raise _impossible("A weight", grams, "it must be above 0 g", "weight")
    return grams


def course(readings: Sequence[Reading]) -> Course:
    """The drying told from weighings; the window is when the water left passes `DAMP_FROM` and `DAMP_UNTIL` of what the
    first weighing held, to the minute.

    ln(w - dry) = ln A - k t by least squares; t(f) = (ln A - ln(f × (first - dry))) ÷ k. The dry weight is that which makes
    the squared misses of the curve least. Weights in grams, times in and out alike.
    Refused: fewer than three weighings, two at one moment, a weight that rises or does not fall, or a fall still too straight
    to end anywhere. Days are passed hours ÷ 24, so a night when the clock changes dries no skin faster.

    >>> noons = [datetime(2025, 2, day, 12, tzinfo=UTC) for day in (3, 5, 7)]
    >>> found = course([Reading(noon, Decimal(grams)) for noon, grams in zip(noons, (3000, 2000, 1500))])
    >>> found.line[0][1], found.line[-1][1]
    (Decimal('3000'), Decimal('1400'))
    >>> found.window.dry_g, found.window.begins.date().isoformat(), found.window.ends.date().isoformat()
    (Decimal('1000'), '2025-02-06', '2025-02-08')
    """
    ordered = _checked(readings)
    first = ordered[0].at
    days = [_days_between(first, each.at) for each in ordered]
    grams = [float(each.grams) for each in ordered]
    curve = _best(days, grams)
    water = grams[0] - curve.dry
    damp = float(DAMP_FROM) * water, float(DAMP_UNTIL) * water
    begins, ends = map(curve.days_to, damp)
    if ends > _FARTHEST_DAYS:
        raise _unclear("at this pace it would take more than a year", "Weigh again when it has dried on.")
    window = Window(
        begins=_minute(_later(first, begins)),
        ends=_minute(_later(first, ends)),
        begins_g=_gram(curve.dry + damp[0]),
        ends_g=_gram(curve.dry + damp[1]),
        dry_g=_gram(curve.dry),
    )
    far = max(ends, days[-1])
    line = tuple(
        (_later(first, far * piece / _PIECES), _gram(curve.at(far * piece / _PIECES))) for piece in range(_PIECES + 1)
    )
    return Course(tuple(ordered), line, window)


def _days_between(first: datetime, then: datetime) -> float:
    """Passed days. Two times of one zone are apart by their clocks, so they are read in one that never changes."""
    return (then.astimezone(UTC) - first.astimezone(UTC)).total_seconds() / _SECONDS_A_DAY


def _later(first: datetime, days: float) -> datetime:
    return (first.astimezone(UTC) + timedelta(days=days)).astimezone(first.tzinfo)


def _between(what: str, value: Decimal, low: int, high: int, unit: str, field: str) -> Decimal:
    if not value.is_finite() or not low <= value <= high:
        raise _impossible(what, value, f"it lies between {low} and {high}{unit}", field)
    return value


def _impossible(what: str, value: Decimal, possible: str, field: str) -> Refused:
    """A reading that no skin, bath or shed can give."""
    return Refused(f"{what} of {value} cannot be: {possible}. Read it again, or correct the entry.", field=field)


def _unclear(why: str, remedy: str) -> Refused:
    """Weighings from which no drying can be told."""
    return Refused(f"No softening day can be calculated: {why}. {remedy}", field="weight")


def _checked(readings: Sequence[Reading]) -> list[Reading]:
    ordered = sorted(readings, key=lambda each: each.at)
    if len(ordered) < LEAST_READINGS:
        raise _unclear(_TOO_FEW[len(ordered)], "Weigh it when it is laced, then every day or two.")
    for before, after in pairwise(ordered):
        if before.at == after.at:
            raise _unclear(f"two weights are noted for {after.at}", "Keep one of them.")
        if after.grams > before.grams:
            raise _unclear(
                f"the weight rose from {before.grams} g on {before.at} to {after.grams} g on {after.at}",
                "If the skin was wetted back, begin with the weighing after that; else correct the entry.",
            )
    if ordered[0].grams == ordered[-1].grams:
        raise _unclear(f"the weight has stayed at {ordered[0].grams} g", "Weigh again when it has dried on.")
    return ordered


def _fit(days: Sequence[float], grams: Sequence[float], dry: float) -> _Curve:
    logs = [math.log(weight - dry) for weight in grams]
    mean_day, mean_log = math.fsum(days) / len(days), math.fsum(logs) / len(logs)
    spread = math.fsum((day - mean_day) ** 2 for day in days)
    slope = math.fsum((day - mean_day) * (log - mean_log) for day, log in zip(days, logs, strict=True)) / spread
    log_a = mean_log - slope * mean_day
    misses = (dry + math.exp(log_a + slope * day) - weight for day, weight in zip(days, grams, strict=True))
    return _Curve(dry, log_a, -slope, math.fsum(miss**2 for miss in misses))


def _best(days: Sequence[float], grams: Sequence[float]) -> _Curve:
    """The curve of least miss over all dry weights from nothing up to just below the last weighing."""
    top = grams[-1] * (1 - 1e-6)
    steps = 200
    coarse = min(range(steps + 1), key=lambda step: _fit(days, grams, top * step / steps).miss)
    low, high = top * max(0, coarse - 1) / steps, top * min(steps, coarse + 1) / steps
    curve = _fit(days, grams, _least(lambda dry: _fit(days, grams, dry).miss, low, high))
    if curve.dry < _LEAST_DRY * grams[-1]:
        raise _unclear("the weight still falls in a straight line", "Weigh again tomorrow.")
    return curve


def _least(miss: Callable[[float], float], low: float, high: float) -> float:
    """Where `miss` is least between two bounds, by golden section."""
    while high - low > 1e-6 * max(1.0, high):
        left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        low, high = (low, right) if miss(left) < miss(right) else (left, high)
    return (low + high) / 2


def _minute(moment: datetime) -> datetime:
    return (moment + timedelta(seconds=30)).replace(second=0, microsecond=0)


def _gram(weight: float) -> Decimal:
    return half_up(Decimal(repr(weight)), 0)
