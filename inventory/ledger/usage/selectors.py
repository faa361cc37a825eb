"""Monthly material use: opening + in - used - other = closing, in quantity and money, read from the month index."""

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from inventory.errors import Refused
from inventory.ledger.models import Kind, Movement
from inventory.materials.models import Material

ZEROS = (Decimal(0), Decimal(0))


@dataclass(frozen=True)
class Flow:
    """One material in one month: quantities in its base unit and values in money. `other` is what left for no piece,
    count differences included; it is negative when a count found more."""

    material: Material
    opening: Decimal
    received: Decimal
    used: Decimal
    other: Decimal
    opening_value: Decimal
    received_value: Decimal
    used_value: Decimal
    other_value: Decimal

    @property
    def closing(self) -> Decimal:
        return self.opening + self.received - self.used - self.other

    @property
    def closing_value(self) -> Decimal:
        return self.opening_value + self.received_value - self.used_value - self.other_value

    @property
    def still(self) -> bool:
        """Nothing there and nothing moved."""
        return not any((self.opening, self.received, self.used, self.other))


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


def flows(month: int) -> list[Flow]:
    """Every material that was there or moved in the month, by name. Opening stock counts as opening in its own month."""
    before: dict[int, tuple[Decimal, Decimal]] = {
        row["material"]: (row["q"], row["v"])
        for row in Movement.objects.filter(month__lt=month)
        .order_by()
        .values("material")
        .annotate(q=Sum("quantity"), v=Sum("value"))
    }
    moved: dict[tuple[int, str], tuple[Decimal, Decimal]] = defaultdict(lambda: ZEROS)
    rows = (
        Movement.objects.filter(month=month)
        .order_by()
        .values("material", "kind")
        .annotate(q=Sum("quantity"), v=Sum("value"))
    )
    for row in rows:
        key = (row["material"], _column(row["kind"]))
        moved[key] = (moved[key][0] + row["q"], moved[key][1] + row["v"])
    found = [
        _flow(material, before.get(material.pk, ZEROS), moved) for material in Material.objects.order_by("name", "code")
    ]
    return [flow for flow in found if not flow.still]


def used_by_month(first: int, last: int, materials: Iterable[Material] | None = None) -> dict[int, Decimal]:
    """Value used in each month from `first` to `last`, months without use included."""
    rows = Movement.objects.filter(month__gte=first, month__lte=last, kind=Kind.USE)
    if materials is not None:
        rows = rows.filter(material__in=materials)
    sums = rows.order_by().values("month").annotate(v=Sum("value"))
    values = {row["month"]: -row["v"] for row in sums}
    return {month: values.get(month, Decimal(0)) for month in range(first, last + 1)}


def used_cells(first: int, last: int) -> list[tuple[Material, int, Decimal, Decimal]]:
    """(material, month, quantity, value) used, one row for each pair that has any, by material name."""
    rows = (
        Movement.objects.filter(month__gte=first, month__lte=last, kind=Kind.USE)
        .order_by()
        .values("month", "material")
        .annotate(q=Sum("quantity"), v=Sum("value"))
    )
    cells = [(row["material"], row["month"], -row["q"], -row["v"]) for row in rows if row["q"] or row["v"]]
    materials = Material.objects.in_bulk({pk for pk, *_ in cells})
    found = [(materials[pk], month, quantity, value) for pk, month, quantity, value in cells]
    return sorted(found, key=lambda cell: (cell[0].name, cell[0].code, cell[1]))


def months_with_entries() -> list[int]:
    """Months in which something moved, newest first."""
    return list(Movement.objects.order_by("-month").values_list("month", flat=True).distinct())


def _column(kind: str) -> str:
    if kind == Kind.OPENING:
        return "opening"
    if kind == Kind.RECEIPT:
        return "received"
    return "used" if kind == Kind.USE else "other"


def _flow(
    material: Material, opening: tuple[Decimal, Decimal], moved: dict[tuple[int, str], tuple[Decimal, Decimal]]
) -> Flow:
    opened, received, used, other = (
        moved.get((material.pk, column), ZEROS) for column in ("opening", "received", "used", "other")
    )
    return Flow(
        material=material,
        opening=opening[0] + opened[0],
        received=received[0],
        used=-used[0],
        other=-other[0],
        opening_value=opening[1] + opened[1],
        received_value=received[1],
        used_value=-used[1],
        other_value=-other[1],
    )
