"""Monthly material use: opening + in - used - other = closing, in quantity and money, read from the month balances.

Rows hold whole thousandths as the database does; what of them is shown is made a decimal as it is asked for.
"""

import calendar
import re
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from inventory.errors import Refused
from inventory.ledger.costflow import Balance
from inventory.ledger.months import selectors as months
from inventory.ledger.months.rules import month_of as month_of
from inventory.money import ZERO, from_steps

_PLACES = 3


def _shown(quantity: int, value: int) -> Balance:
    return Balance(from_steps(quantity, _PLACES), from_steps(value, _PLACES))


class Flow(NamedTuple):
    """One material in one month, in thousandths. `other` is what left for no piece, count differences and what went with a
    sale included; it is negative when a count found more."""

    code: str
    name: str
    unit: str
    opening_quantity: int
    opening_value: int
    received_quantity: int
    received_value: int
    used_quantity: int
    used_value: int
    other_quantity: int
    other_value: int

    @property
    def opening(self) -> Balance:
        return _shown(self.opening_quantity, self.opening_value)

    @property
    def received(self) -> Balance:
        return _shown(self.received_quantity, self.received_value)

    @property
    def used(self) -> Balance:
        return _shown(self.used_quantity, self.used_value)

    @property
    def other(self) -> Balance:
        return _shown(self.other_quantity, self.other_value)

    @property
    def closing(self) -> Balance:
        return _shown(
            self.opening_quantity + self.received_quantity - self.used_quantity - self.other_quantity,
            self.opening_value + self.received_value - self.used_value - self.other_value,
        )


class Cell(NamedTuple):
    """What was used of a material in a month, in thousandths."""

    code: str
    name: str
    unit: str
    month: int
    used_quantity: int
    used_value: int

    @property
    def used(self) -> Balance:
        return _shown(self.used_quantity, self.used_value)


def month_number(text: str) -> int:
    """ "2025-01" -> 24300 (year x 12 + month - 1)."""
    found = re.fullmatch(r"(?!0000)([0-9]{4})-(0[1-9]|1[0-2])", text.strip())
    if not found:
        raise Refused(f"{text!r} is not a month. Write year and month as 2025-01.", field="month")
    return int(found[1]) * 12 + int(found[2]) - 1


def month_text(number: int) -> str:
    return f"{number // 12:04d}-{number % 12 + 1:02d}"


def month_days(number: int) -> tuple[date, date]:
    """Its first and its last day.

    >>> month_days(month_number("2024-02"))
    (datetime.date(2024, 2, 1), datetime.date(2024, 2, 29))
    """
    year, month = number // 12, number % 12 + 1
    return date(year, month, 1), date(year, month, calendar.monthrange(year, month)[1])


def flows(month: int) -> list[Flow]:
    """Every material that was there or moved in the month, by name. Opening stock counts as opening in its own month."""
    return list(map(Flow._make, months.month_rows(month)))


def used_by_month(first: int, last: int) -> dict[int, Decimal]:
    """Value used in each month from `first` to `last`, months without use included."""
    used = months.used_values(first, last)
    return {month: from_steps(used[month], _PLACES) if month in used else ZERO for month in range(first, last + 1)}


def used_cells(first: int, last: int) -> list[Cell]:
    """What was used, one row for each pair of material and month that has any, by material name."""
    return list(map(Cell._make, months.used_rows(first, last)))


def months_with_entries() -> list[int]:
    """Months in which something moved, newest first."""
    return months.known()
