"""When a skin on the frame will be ready to soften and when it is dry, told from its falling weight.

Owns the drying curve, and the range that stands in for it while two weighings are all there is. Floats are allowed here and
nowhere else in the rules: no money and no stock comes out of this module. Must not read a database or decide when a skin is
ready: hand and eye do, this is a hint.

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

from costing.make.readings.rules import check_weight
from inventory import formats
from inventory.errors import Refused
from inventory.money import half_up

LEAST_READINGS = 3

# What a skin that hangs drained loses of its first weighing until it is dry, at least and at most; how far off a dry weight
# is that the maker expects; and of what part of the first weighing a shed's scale and a last drip may be wrong. Common
# practice, no source: these stand where the maker did not say better.
LOSES = Fraction(2, 5), Fraction(7, 10)
EXPECTED_WITHIN = Fraction(1, 10)
SCALE_WITHIN = Fraction(1, 100)

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

_TIMES = ("it was not weighed yet", "it was weighed once", "it was weighed twice")
_TAKES = {2: "two weighings for a first estimate", LEAST_READINGS: "three weighings for a curve"}


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
class Estimate:
    """The window while a curve cannot be drawn: the earliest and the latest moment of its beginning and of its end, and
    between which weights the skin is dry."""

    begins: tuple[datetime, datetime]
    ends: tuple[datetime, datetime]
    dry_g: tuple[Decimal, Decimal]


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


Said = Callable[[Decimal], str]


def in_grams(grams: Decimal) -> str:
    """A weight for a sentence."""
    return f"{formats.figure(grams)} g"


def course(readings: Sequence[Reading], dry: Decimal | None = None, said: Said = in_grams) -> Course:
    """The drying told from weighings; the window is when the water left passes `DAMP_FROM` and `DAMP_UNTIL` of what the
    first weighing held, to the minute.

    ln(w - dry) = ln A - k t by least squares; t(f) = (ln A - ln(f × (first - dry))) ÷ k. The dry weight is the one that the
    maker expects (`dry`), else that which makes the squared misses of the curve least. Weights in grams, times in and out
    alike; `said` is how a refusal tells a weight. Refused: fewer than three weighings, two at one moment, a weight that rises
    or does not fall, one that is dry by the maker's word, or a fall still too straight to end anywhere. Days are passed
    hours ÷ 24, so a night when the clock changes dries no skin faster.

    >>> noons = [datetime(2025, 2, day, 12, tzinfo=UTC) for day in (3, 5, 7)]
    >>> found = course([Reading(noon, Decimal(grams)) for noon, grams in zip(noons, (3000, 2000, 1500))])
    >>> found.line[0][1], found.line[-1][1]
    (Decimal('3000'), Decimal('1400'))
    >>> found.window.dry_g, found.window.begins.date().isoformat(), found.window.ends.date().isoformat()
    (Decimal('1000'), '2025-02-06', '2025-02-08')
    """
    ordered = _checked(readings, LEAST_READINGS, dry, said)
    first = ordered[0].at
    days = [_days_between(first, each.at) for each in ordered]
    grams = [float(each.grams) for each in ordered]
    curve = _best(days, grams) if dry is None else _fit(days, grams, float(dry))
    water = grams[0] - curve.dry
    damp = float(DAMP_FROM) * water, float(DAMP_UNTIL) * water
    begins, ends = map(curve.days_to, damp)
    _refuse_far(ends)
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


def estimate(readings: Sequence[Reading], dry: Decimal | None = None, said: Said = in_grams) -> Estimate:
    """The window as two weighings tell it, the first and the last: a range, for neither the dry weight nor the scale is sure.

    k = ln((first - dry) ÷ (last - dry)) ÷ days, t(f) = ln(1 ÷ f) ÷ k, once for the slowest and once for the fastest drying
    that the weighings leave possible: dry weights that `LOSES` allows (with the maker's own, those about it), and a last
    weighing that was off by `SCALE_WITHIN` of the first. Refused as `course` is, from two weighings on, and where the fall is
    no more than the scale may be off.

    >>> noons = [datetime(2025, 2, day, 12, tzinfo=UTC) for day in (3, 4)]
    >>> found = estimate([Reading(noon, Decimal(grams)) for noon, grams in zip(noons, (3000, 2500))])
    >>> [f"{at:%d %b}" for at in (*found.begins, *found.ends)]
    ['05 Feb', '07 Feb', '06 Feb', '09 Feb']
    """
    ordered = _checked(readings, 2, dry, said)
    first, last = ordered[0], ordered[-1]
    heavy, light, off = float(first.grams), float(last.grams), float(SCALE_WITHIN * Fraction(first.grams))
    if heavy - light <= 2 * off:
        lost = f"it has lost {said(first.grams - last.grams)} so far, which a scale may be off by"
        raise _unclear(lost, "Weigh again tomorrow.")
    low, high = _dry_between(heavy, light - off, None if dry is None else float(dry))
    days = _days_between(first.at, last.at)
    slow = math.log((heavy - low) / (light + off - low)) / days
    fast = math.log((heavy - high) / (light - off - high)) / days

    def passes(damp: Fraction) -> tuple[datetime, datetime]:
        soonest, latest = (-math.log(float(damp)) / pace for pace in (fast, slow))
        _refuse_far(latest)
        return _minute(_later(first.at, soonest)), _minute(_later(first.at, latest))

    return Estimate(passes(DAMP_FROM), passes(DAMP_UNTIL), (_gram(low), _gram(high)))


def _dry_between(heavy: float, light: float, dry: float | None) -> tuple[float, float]:
    """The least and the most that the skin may weigh when it is dry, both below what it weighs now."""
    if dry is not None:
        low, high = dry * float(1 - EXPECTED_WITHIN), dry * float(1 + EXPECTED_WITHIN)
    else:
        low, high = (heavy * float(1 - loss) for loss in reversed(LOSES))
        # One that lost more than is usual loses a little more still.
        low = min(low, light * float(1 - LOSES[0] / 2))
    return low, min(high, light * float(1 - 2 * SCALE_WITHIN))


def _refuse_far(days: float) -> None:
    if days > _FARTHEST_DAYS:
        raise _unclear("at this pace it would take more than a year", "Weigh again when it has dried on.")


def _days_between(first: datetime, then: datetime) -> float:
    """Passed days. Two times of one zone are apart by their clocks, so they are read in one that never changes."""
    return (then.astimezone(UTC) - first.astimezone(UTC)).total_seconds() / _SECONDS_A_DAY


def _later(first: datetime, days: float) -> datetime:
    return (first.astimezone(UTC) + timedelta(days=days)).astimezone(first.tzinfo)


def _unclear(why: str, remedy: str) -> Refused:
    """Weighings from which no drying can be told."""
    return Refused(f"No softening day can be calculated: {why}. {remedy}", field="weight")


def _checked(readings: Sequence[Reading], least: int, dry: Decimal | None, said: Said) -> list[Reading]:
    ordered = sorted(readings, key=lambda each: each.at)
    if len(ordered) < least:
        why = f"{_TIMES[len(ordered)]}, and it takes {_TAKES[least]}"
        raise _unclear(why, "Weigh it when it is laced, then every day or two.")
    for before, after in pairwise(ordered):
        if before.at == after.at:
            raise _unclear(f"two weights are noted for {_when(after)}", "Reverse one of them.")
        if after.grams > before.grams:
            raise _unclear(
                f"the weight rose from {said(before.grams)} on {_when(before)} to "
                f"{said(after.grams)} on {_when(after)}",
                "If the skin was wetted back, begin with the weighing after that and reverse those before; else reverse the "
                "one that is wrong.",
            )
    last = ordered[-1].grams
    if ordered[0].grams == last:
        raise _unclear(f"the weight has stayed at {said(last)}", "Weigh again when it has dried on.")
    if dry is not None and last <= dry:
        raise Refused(f"It weighs {said(last)}: dry, by the dry weight of {said(dry)} that you set.", field="weight")
    return ordered


def _when(reading: Reading) -> str:
    return f"{formats.day(reading.at, weekday=True, year=False)} {reading.at:%H:%M}"


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
