"""Owns how figures and units are written on papers and charts. Must not draw and must not round."""

import re
from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from inventory import formats

_POWER = re.compile(r"\b([dcmk]?m)([23])\b")
_COUNT = re.compile(r"(?<=[A-Za-z)])[0-9]+")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_RAISED = {"2": "²", "3": "³"}


def places(values: Iterable[Decimal]) -> int:
    """The most decimal places that any of the values needs, trailing zeros aside.

    >>> places([Decimal("0.360"), Decimal("12")])
    2
    """
    return max((_needed(value) for value in values), default=0)


def written(values: Iterable[Decimal]) -> int:
    """The most decimal places written in any of the values, trailing zeros counted: money keeps its cents.

    >>> written([Decimal("5.40"), Decimal("0")])
    2
    """
    return max((max(0, -_exponent(value)) for value in values), default=0)


def number(value: Decimal, digits: int | None = None) -> str:
    """The exact value, thousands set off, with at least `digits` decimals; none is ever dropped.

    >>> number(Decimal("-1125.9"), 2) == "−1\u202f125.90"
    True
    >>> number(Decimal("0.3605"), 2)
    '0.3605'
    """
    shown = max(digits or 0, _needed(value))
    return formats.figure(f"{value:.{shown}f}")


def raised(text: str) -> str:
    """Square and cubic metres with a raised figure.

    >>> raised("about 101 dm2 (10.9 sq ft)")
    'about 101 dm² (10.9 sq ft)'
    """
    return _POWER.sub(lambda found: found[1] + _RAISED[found[2]], text)


def formula(text: str) -> str:
    """A chemical formula with its counts lowered; the count before a part stays.

    >>> formula("KAl(SO4)2·12H2O")
    'KAl(SO₄)₂·12H₂O'
    """
    return _COUNT.sub(lambda found: found[0].translate(_LOWERED), text)


def opened(text: str) -> str:
    """The text with its first letter large, as a line begins.

    >>> opened("älg")
    'Älg'
    """
    return text[:1].upper() + text[1:]


def day(when: date) -> str:
    """A day as the workshop writes it.

    >>> day(date(2026, 1, 7))
    '7 Jan 2026'
    """
    return formats.day(when)


def weekday(when: date) -> str:
    """A date with its weekday, for what is to be done on it.

    >>> weekday(date(2025, 1, 20))
    'Mon 20 Jan 2025'
    """
    return formats.day(when, weekday=True)


def month(text: str) -> str:
    """A month written "2025-01", in words.

    >>> month("2025-01")
    'January 2025'
    """
    return formats.month(date.fromisoformat(f"{text}-01"))


def _needed(value: Decimal) -> int:
    return max(0, -_exponent(value.normalize()))


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    if not isinstance(exponent, int):
        raise ValueError(f"A figure on a paper is a finite number, not {value}.")
    return exponent
