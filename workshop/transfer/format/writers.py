"""How a value becomes a cell, the way `readers` reads it back: no exponent, no grouping, nothing lost."""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.utils import timezone

from costing.make.readings.areas import taps
from inventory import formats, money, units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.materials.services import to_base
from inventory.models import Material


def number(value: Decimal | int) -> str:
    """A plain number.

    >>> number(Decimal("560.000"))
    '560'
    """
    text = f"{value:f}" if isinstance(value, Decimal) else str(value)
    return text.rstrip("0").rstrip(".") if "." in text else text


def coins(value: Decimal) -> str:
    """An amount of money with the decimals of the workshop's currency."""
    return f"{money.half_up(value, workshop.places()):f}"


def moment(value: datetime) -> str:
    """By the workshop's own clock, with its zone."""
    return timezone.localtime(value).isoformat()


def yes_no(value: bool) -> str:
    return "yes" if value else "no"


def tags(things: Any) -> str:
    """Names in their own order, or the skins of a record by their tags."""
    names: Iterable[str] = sorted(skin.tag for skin in things.all()) if hasattr(things, "all") else things
    return " ".join(names)


def defects(each: Iterable[Mapping[str, Any]]) -> str:
    """
    >>> defects([{"kind": "scar", "ring": [[1, 2], [3, 4], [5, 6.5]]}, {"kind": "hole", "ring": [[7, 8]]}])
    'scar: 1,2 3,4 5,6.5; hole: 7,8'
    """
    return "; ".join(f"{one['kind']}: {taps.written(one['ring'])}" for one in each)


def measure(unit: str) -> Callable[[Decimal], str]:
    """A writer of quantities that are kept in the base of `unit`.

    >>> measure("lb")(Decimal("16.000")), measure("kg")(Decimal("560.000"))
    ('1', '0.56')
    """
    return lambda base_amount: number(units.least(base_amount, unit))


def in_unit(base_amount: Decimal, unit: str, material: Material) -> Decimal:
    """A quantity of a material in any unit it can be measured by: a volume of a powder through its own density."""
    one, own, kept = Fraction(units.factor(unit)), units.metric_of(unit), units.metric_of(material.base)
    if own != kept:
        density = Fraction(material.density_g_per_ml or 1)
        one = one * density if kept == "g" else one / density
    one /= Fraction(units.factor(material.base))
    return units.fewest(Fraction(base_amount) / one, lambda short: to_base(material, short, unit) == base_amount)


def typed(text: str, base_amount: Decimal, material: Material) -> tuple[Decimal, str]:
    """Amount and unit as the maker typed them where that still is the same quantity, else in the material's own unit."""
    try:
        amount, unit = units.parse(text, formats.PLAIN)
        if to_base(material, amount, unit) == base_amount:
            return amount, unit
    except Refused:
        pass
    return units.least(base_amount, material.unit), material.unit
