"""Values as cells, the way `columns` reads them back: no exponent, no grouping, nothing lost."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from django.utils import timezone

from inventory import money, units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.materials.services import to_base
from inventory.models import Material

_MOST_DECIMALS = 9


def number(value: Decimal | int | None) -> str:
    """A plain number, or nothing.

    >>> number(Decimal("560.000")), number(None)
    ('560', '')
    """
    if value is None:
        return ""
    text = f"{value:f}" if isinstance(value, Decimal) else str(value)
    return text.rstrip("0").rstrip(".") if "." in text else text


def coins(value: Decimal | None) -> str:
    """An amount of money with the decimals of the workshop's currency, or nothing."""
    return "" if value is None else f"{money.half_up(value, workshop.places()):f}"


def day(value: date | None) -> str:
    return "" if value is None else value.isoformat()


def moment(value: datetime) -> str:
    """By the workshop's own clock, with its zone."""
    return timezone.localtime(value).isoformat()


def whole(value: int) -> str:
    """A whole number; nought is left empty."""
    return str(value) if value else ""


def yes_no(value: bool) -> str:
    return "yes" if value else "no"


def share(value: Fraction) -> str:
    return "" if value == 1 else str(value)


def measure(base_amount: Decimal | None, unit: str) -> str:
    """A quantity kept in the base unit of `unit`, with the fewest decimals that lead back to it.

    >>> measure(Decimal("453.592"), "lb"), measure(Decimal("560.000"), "kg")
    ('1', '0.56')
    """
    if base_amount is None:
        return ""
    base = units.base_of(unit)
    return _fewest(base_amount, Fraction(units.factor(unit)), lambda short: units.to_base(short, unit, base))


def in_unit(base_amount: Decimal, unit: str, material: Material) -> str:
    """A quantity of a material in any unit it can be measured by: a volume of a powder through its own density."""
    one = Fraction(units.factor(unit))
    if units.base_of(unit) != material.base:
        density = Fraction(material.density_g_per_ml or 1)
        one = one * density if material.base == "g" else one / density
    return _fewest(base_amount, one, lambda short: to_base(material, short, unit))


def typed(text: str, base_amount: Decimal, material: Material) -> tuple[str, str]:
    """Amount and unit as the maker typed them where that still is the same quantity, else in the material's own unit."""
    try:
        amount, unit = units.parse(text)
        if to_base(material, amount, unit) == base_amount:
            return number(amount), unit
    except Refused:
        pass
    return measure(base_amount, material.unit), material.unit


def _fewest(base_amount: Decimal, one: Fraction, back: Callable[[Decimal], Decimal]) -> str:
    exact = Fraction(base_amount) / one
    for decimals in range(_MOST_DECIMALS + 1):
        short = money.half_up(exact, decimals)
        if back(short) == base_amount:
            return number(short)
    raise ValueError(f"{base_amount} cannot be written in steps of {one} with {_MOST_DECIMALS} decimals")
