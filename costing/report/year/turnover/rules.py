"""Turnover against a limit that the maker sets: in the calendar year, and in any twelve months running.

Owns which sales count on which day. Must not know the limit of any country: some count the calendar year, others the
last twelve months, and both change. Credits count below nought on their own day.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from costing.make.errors import NotAbove
from inventory.money import ZERO, half_up

Sale = tuple[date, Decimal]


class Span(StrEnum):
    """The time that a limit looks at."""

    CALENDAR_YEAR = "calendar year"
    TWELVE_MONTHS = "twelve months running"


@dataclass(frozen=True)
class Standing:
    """Turnover of the span that ends on a day, the limit, how far it is used, what is left of it, and when it was passed."""

    span: Span
    first: date
    turnover: Decimal
    limit: Decimal
    used_percent: Decimal
    left: Decimal
    passed_on: date | None


def first_day(span: Span, on: date) -> date:
    """The first day that counts in the span which ends on `on`: twelve months running begin a year before the day after.

    >>> first_day(Span.TWELVE_MONTHS, date(2025, 4, 12)), first_day(Span.CALENDAR_YEAR, date(2025, 4, 12))
    (datetime.date(2024, 4, 13), datetime.date(2025, 1, 1))
    """
    if span is Span.CALENDAR_YEAR:
        return date(on.year, 1, 1)
    after = on + timedelta(days=1)
    # The day after 28 February of a leap year has no day of its own the year before.
    return date(after.year - 1, 3, 1) if (after.month, after.day) == (2, 29) else after.replace(year=after.year - 1)


def turnover(sales: Iterable[Sale], first: date, last: date) -> Decimal:
    """Sales from `first` to `last`, both days counted, less credits.

    >>> turnover([(date(2025, 12, 6), Decimal("39.90")), (date(2025, 12, 16), Decimal("-39.90"))],
    ...     date(2025, 1, 1), date(2025, 12, 31))
    Decimal('0.00')
    """
    return sum((amount for on, amount in sales if first <= on <= last), ZERO)


def standing(sales: Sequence[Sale], on: date, limit: Decimal, span: Span) -> Standing:
    """How turnover stands against a limit on a day. `passed_on` is the first day of the span on which it was above it.

    A limit is passed when turnover is more than it, not when it is met. Used percent is rounded half up to one place.
    Raises NotAbove unless the limit is above nought.

    >>> sales = [(date(2025, 4, 12), Decimal(170)), (date(2025, 7, 5), Decimal(240))]
    >>> there = standing(sales, date(2025, 12, 31), Decimal(400), Span.CALENDAR_YEAR)
    >>> there.turnover, there.left, there.used_percent, there.passed_on
    (Decimal('410'), Decimal('0'), Decimal('102.5'), datetime.date(2025, 7, 5))
    """
    if limit <= 0:
        raise NotAbove("The limit", limit, "enter the limit you have to watch", field="limit")
    first = first_day(span, on)
    total = turnover(sales, first, on)
    return Standing(
        span=span,
        first=first,
        turnover=total,
        limit=limit,
        used_percent=half_up(Fraction(total) * 100 / Fraction(limit), 1),
        left=max(limit - total, ZERO),
        passed_on=_passed_on(sales, first, on, limit, span),
    )


def _passed_on(sales: Sequence[Sale], first: date, on: date, limit: Decimal, span: Span) -> date | None:
    days = sorted({when for when, _ in sales if first <= when <= on})
    return next((day for day in days if turnover(sales, first_day(span, day), day) > limit), None)
