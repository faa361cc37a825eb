"""How an answer for JSON writes money, amounts and days. Numbers are strings: no reader shall make floats of them."""

from datetime import date
from decimal import Decimal
from typing import Any

from inventory import money, units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Material

Shape = dict[str, Any]


def shape(record: Any, *names: str) -> Shape:
    """Attributes of a record by their names, numbers as texts and days as ISO dates."""
    return {name: said(getattr(record, name)) for name in names}


def said(value: Any) -> Any:
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else value


def coins(value: Decimal | None) -> str | None:
    """Money to the currency's digits, without its sign."""
    return None if value is None else f"{money.half_up(value, workshop.places()):f}"


def amount(quantity: Decimal, material: Material) -> str:
    return units.number(quantity, material.unit)


def day(text: str | None) -> date:
    """An ISO day; nothing means the workshop's today."""
    if not text:
        return workshop.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refused(f"{text!r} is not a day. Write it as 2025-12-31.", field="on") from None
