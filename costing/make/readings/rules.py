"""Which readings can be true, and which weighings are so far off that the maker is asked.

Must not read a database.
"""

from collections.abc import Callable
from decimal import Decimal

from inventory.errors import Refused
from inventory.skins.rules import weight


def check_ph(value: Decimal) -> Decimal:
    """A pH from 0 to 14; refused outside of that.

    >>> check_ph(Decimal("4.2"))
    Decimal('4.2')
    """
    return _between("A pH", value, 0, 14, str, "ph")


def in_celsius(value: Decimal) -> str:
    """A temperature for a sentence."""
    return f"{value} °C"


def check_celsius(value: Decimal, said: Callable[[Decimal], str] = in_celsius) -> Decimal:
    """A temperature of bath or shed from -20 to 80 °C; refused outside of that, as it is `said` here."""
    return _between("A temperature", value, -20, 80, said, "celsius")


def check_weight(grams: Decimal) -> Decimal:
    """A weight above zero; refused if it is not."""
    if not grams.is_finite() or grams <= 0:
        raise _impossible("A weight", str(grams), "it must be above 0", "weight")
    return grams


def _between(what: str, value: Decimal, low: int, high: int, said: Callable[[Decimal], str], field: str) -> Decimal:
    if not value.is_finite() or not low <= value <= high:
        shown = said(value) if value.is_finite() else str(value)
        raise _impossible(what, shown, f"it lies between {said(Decimal(low))} and {said(Decimal(high))}", field)
    return value


def _impossible(what: str, value: str, possible: str, field: str) -> Refused:
    """A reading that no skin, bath or shed can give."""
    return Refused(f"{what} of {value} cannot be: {possible}. Read it again, or correct the entry.", field=field)


# A skin that is soaked through may weigh three times what it weighed salted or dry; one that dries from dripping wet loses
# five sixths at most. Common practice, no source.
HEAVIER, LIGHTER = 3, 6


def odd_weighing(tag: str, grams: Decimal, last: Decimal, when: str, unit: str) -> str | None:
    """What to ask of a weighing, beside what the skin weighed last (in grams) and when; None for an ordinary one.

    >>> odd_weighing("H01", Decimal(22_000), Decimal(5_000), "on 3 Feb", "kg")
    '22 kg is entered for H01, which weighed 5 kg on 3 Feb.'
    >>> odd_weighing("H01", Decimal(2_200), Decimal(5_000), "green", "kg")
    """
    if last / LIGHTER <= grams <= HEAVIER * last:
        return None
    return f"{weight(grams, unit)} is entered for {tag}, which weighed {weight(last, unit)} {when}."
