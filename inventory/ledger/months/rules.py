"""Months as numbers, so that a month's use is one range of an integer index on every database."""

from datetime import date

Steps = tuple[int, int]  # quantity and value, in thousandths


def month_of(day: date) -> int:
    """Year x 12 + month - 1.

    >>> month_of(date(2025, 1, 31))
    24300
    """
    return day.year * 12 + day.month - 1
