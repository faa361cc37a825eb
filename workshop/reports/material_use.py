"""The monthly material use as CSV, for a spreadsheet or the bookkeeper."""

from __future__ import annotations

import csv as csv_of_csv
import io
from dataclasses import dataclass
from decimal import Decimal

from inventory import units
from inventory.ledger.usage import selectors as usage
from inventory.models import Material
from workshop.answers import daily as answers

COLUMNS = (
    "month", "material", "name", "unit", "opening", "in", "used", "other", "closing",
    "opening_value", "in_value", "used_value", "other_value", "closing_value",
)  # fmt: skip


def write(month: str) -> bytes:
    """UTF-8 with a header; figures with a decimal point. Texts cannot start a formula: no record can hold such a text."""
    found = answers.usage_answer(month)
    out = io.StringIO()
    writer = csv_of_csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    for line in found["lines"]:
        writer.writerow({"month": found["month"], **line})
    return out.getvalue().encode("utf-8")


MONTHS = 12


@dataclass(frozen=True)
class Row:
    """One material: quantities (base unit) and values by month, January first, and the year's sums."""

    material: Material
    quantities: tuple[Decimal, ...]
    values: tuple[Decimal, ...]

    @property
    def quantity(self) -> Decimal:
        return sum(self.quantities, Decimal(0))

    @property
    def value(self) -> Decimal:
        return sum(self.values, Decimal(0))


def sheet(year: int) -> tuple[list[Row], tuple[Decimal, ...]]:
    """The rows, by material name, and the value of each month over all materials."""
    import pandas as pd

    first = year * MONTHS
    cells = usage.used_cells(first, first + MONTHS - 1)
    materials = {material.pk: material for material, *_ in cells}
    frame = pd.DataFrame(
        [(material.pk, month - first, quantity, value) for material, month, quantity, value in cells],
        columns=["material", "month", "quantity", "value"],
        dtype=object,
    )
    wide = frame.pivot(index="material", columns="month", values=["quantity", "value"])
    wide = wide.reindex(
        index=list(materials),
        columns=pd.MultiIndex.from_product([["quantity", "value"], range(MONTHS)]),
        fill_value=None,
    )
    wide = wide.astype(object).where(wide.notna(), Decimal(0))
    rows = [Row(materials[pk], tuple(wide.loc[pk, "quantity"]), tuple(wide.loc[pk, "value"])) for pk in wide.index]
    months = tuple(sum((row.values[at] for row in rows), Decimal(0)) for at in range(MONTHS))
    return rows, months


def csv(year: int) -> bytes:
    """Quantities and values by month, UTF-8 with a header, figures with a decimal point."""
    import pandas as pd

    from workshop.answers.plain import coins

    rows, _ = sheet(year)
    table = [
        {
            "material": row.material.code,
            "name": row.material.name,
            "month": usage.month_text(year * MONTHS + at),
            "quantity": units.number(row.quantities[at], row.material.unit),
            "unit": row.material.unit,
            "value": coins(row.values[at]),
        }
        for row in rows
        for at in range(MONTHS)
        if row.quantities[at] or row.values[at]
    ]
    columns = ["material", "name", "month", "quantity", "unit", "value"]
    text: str = pd.DataFrame(table, columns=columns).to_csv(index=False, lineterminator="\n")
    return text.encode("utf-8")
