"""The span of a tax report: days, months, quarters and years as they are typed, and the spans beside them. No database."""

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta

from inventory.errors import Refused

_WORDS = re.compile(r"(\d{4})(?:-(?:Q([1-4])|(\d{2})(?:-(\d{2}))?))?", re.IGNORECASE)
QUARTER, YEAR = 3, 12


@dataclass(frozen=True)
class Span:
    """From a day to a day, both counted."""

    first: date
    last: date

    def __str__(self) -> str:
        return f"{self.first} to {self.last}"


def span(words: str, *, field: str = "from") -> Span:
    """A day, a month, a quarter or a year as it is typed.

    >>> str(span("2025-02")), str(span("2025-Q4")), str(span("2025-03-04"))
    ('2025-02-01 to 2025-02-28', '2025-10-01 to 2025-12-31', '2025-03-04 to 2025-03-04')
    """
    found = _WORDS.fullmatch(words.strip())
    try:
        if found is None:
            raise ValueError(words)
        year, quarter, month, day = (int(part) if part else 0 for part in found.groups())
        if day:
            return Span(date(year, month, day), date(year, month, day))
        if quarter:
            return months(year, quarter * QUARTER - 2, QUARTER)
        return months(year, month, 1) if month else months(year, 1, YEAR)
    except ValueError:
        raise Refused(
            f"{words[:40]!r} is no day, month or quarter. Write it as 2025-03-31, 2025-03, 2025-Q1 or 2025.",
            field=field,
        ) from None


def months(year: int, month: int, count: int) -> Span:
    """So many whole months. Raises ValueError off the calendar."""
    end = month + count - 1
    return Span(date(year, month, 1), date(year, end, monthrange(year, end)[1]))


def period(start: str, end: str = "") -> Span:
    """From the first day of `start` to the last of `end`, or of `start` itself. Refuses a period backwards.

    >>> str(period("2025-01", "2025-02"))
    '2025-01-01 to 2025-02-28'
    """
    first, last = span(start), span(end or start, field="to")
    if last.last < first.first:
        raise Refused(
            f"The period runs backwards: {first.first} is after {last.last}. Put the earlier day first.", field="to"
        )
    return Span(first.first, last.last)


def quarter_of(day: date) -> Span:
    return months(day.year, (day.month - 1) // QUARTER * QUARTER + 1, QUARTER)


def beside(of: Span) -> tuple[Span | None, Span | None]:
    """The span before and the one after: as many whole months, or as many days. None off the calendar.

    >>> [str(each) for each in beside(span("2025-Q1"))]
    ['2024-10-01 to 2024-12-31', '2025-04-01 to 2025-06-30']
    """
    days = (of.last - of.first).days + 1
    whole = of.first.day == 1 and (of.last + timedelta(days=1)).day == 1 if of.last < date.max else False
    count = (of.last.year - of.first.year) * YEAR + of.last.month - of.first.month + 1
    found: list[Span | None] = []
    for step in (-1, 1):
        try:
            if whole:
                found.append(Span(_shifted(of.first, step * count), _end(_shifted(of.first, step * count), count)))
            else:
                by = timedelta(days=step * days)
                found.append(Span(of.first + by, of.last + by))
        except (ValueError, OverflowError):
            found.append(None)
    return found[0], found[1]


def _shifted(day: date, by: int) -> date:
    number = day.year * YEAR + day.month - 1 + by
    return date(number // YEAR, number % YEAR + 1, 1)


def _end(first: date, count: int) -> date:
    return _shifted(first, count) - timedelta(days=1)
