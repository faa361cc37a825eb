"""Monthly material use: opening + in - used - other = closing, in quantity and money, read from the month index."""

import calendar
import re
from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.errors import Refused
from inventory.ledger import selectors as ledger
from inventory.ledger.costflow import Balance
from inventory.ledger.models import Kind, Movement
from inventory.materials.models import Material

# Where a kind of movement stands in the month; every other kind left for no piece.
COLUMNS = {Kind.OPENING: "opening", Kind.RECEIPT: "received", Kind.CORRECTED: "received", Kind.USE: "used"}


@dataclass(frozen=True)
class Flow:
    """One material in one month. `other` is what left for no piece, count differences included; it is negative when a count
    found more."""

    material: Material
    opening: Balance
    received: Balance
    used: Balance
    other: Balance

    @property
    def closing(self) -> Balance:
        return self.opening.plus(*self.received).less(*self.used).less(*self.other)


def month_number(text: str) -> int:
    """ "2025-01" -> 24300 (year x 12 + month - 1)."""
    found = re.fullmatch(r"(?!0000)([0-9]{4})-(0[1-9]|1[0-2])", text.strip())
    if not found:
        raise Refused(f"{text!r} is not a month. Write year and month as 2025-01.", field="month")
    return int(found[1]) * 12 + int(found[2]) - 1


def month_text(number: int) -> str:
    return f"{number // 12:04d}-{number % 12 + 1:02d}"


def month_of(day: date) -> int:
    return day.year * 12 + day.month - 1


def month_days(number: int) -> tuple[date, date]:
    """Its first and its last day.

    >>> month_days(month_number("2024-02"))
    (datetime.date(2024, 2, 1), datetime.date(2024, 2, 29))
    """
    year, month = number // 12, number % 12 + 1
    return date(year, month, 1), date(year, month, calendar.monthrange(year, month)[1])


def flows(month: int) -> list[Flow]:
    """Every material that was there or moved in the month, by name. Opening stock counts as opening in its own month."""
    moved: dict[tuple[int, str], Balance] = defaultdict(Balance)
    for pk, brought in ledger.sums(Movement.objects.filter(month__lt=month), "material").items():
        moved[pk, "opening"] = brought
    for (pk, kind), change in ledger.sums(Movement.objects.filter(month=month), "material", "kind").items():
        at = pk, COLUMNS.get(kind, "other")
        moved[at] = moved[at].plus(*change)
    found = [
        Flow(
            material,
            opening=moved[material.pk, "opening"],
            received=moved[material.pk, "received"],
            used=Balance().less(*moved[material.pk, "used"]),
            other=Balance().less(*moved[material.pk, "other"]),
        )
        for material in Material.objects.order_by("name", "code")
    ]
    return [
        flow for flow in found if any(each.quantity for each in (flow.opening, flow.received, flow.used, flow.other))
    ]


def used_by_month(first: int, last: int) -> dict[int, Decimal]:
    """Value used in each month from `first` to `last`, months without use included."""
    moved = ledger.sums(Movement.objects.filter(month__gte=first, month__lte=last, kind=Kind.USE), "month")
    return {month: -moved.get(month, Balance()).value for month in range(first, last + 1)}


def used_cells(first: int, last: int) -> list[tuple[Material, int, Decimal, Decimal]]:
    """(material, month, quantity, value) used, one row for each pair that has any, by material name."""
    rows = Movement.objects.filter(month__gte=first, month__lte=last, kind=Kind.USE)
    moved = {at: each for at, each in ledger.sums(rows, "material", "month").items() if any(each)}
    materials = Material.objects.in_bulk({pk for pk, _ in moved})
    found = [(materials[pk], month, -quantity, -value) for (pk, month), (quantity, value) in moved.items()]
    return sorted(found, key=lambda cell: (cell[0].name, cell[0].code, cell[1]))


def months_with_entries() -> list[int]:
    """Months in which something moved, newest first."""
    return list(Movement.objects.order_by("-month").values_list("month", flat=True).distinct())
