"""The month balances as they are written: with each movement, in its transaction. Called by the ledger's pen and by nobody else."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from functools import cache

from django.db import connection, transaction

from inventory.ledger.months.columns import FIGURES, FROM_MOVEMENTS, MOVED, closing, place
from inventory.ledger.months.rules import month_of
from inventory.money import to_steps

_PLACES = 3
_REBUILD = f"INSERT INTO inventory_monthly (material_id, month, {', '.join(FIGURES)}) {FROM_MOVEMENTS}"
_LATER = """
UPDATE inventory_monthly SET first_quantity = first_quantity + %s, first_value = first_value + %s
WHERE material_id = %s AND month > %s
"""


def keep(kind: str, on: date, moved: Iterable[tuple[int, Decimal, Decimal]]) -> None:
    """Add what one posting moved: material (its key), signed quantity and value. The caller holds the materials' rows.

    A material's first movement in a month begins where its last month before ended; a late one changes what each later
    month began with.
    """
    month = month_of(on)
    lines = [(pk, to_steps(quantity, _PLACES), to_steps(value, _PLACES)) for pk, quantity, value in moved]
    with connection.cursor() as cursor:
        cursor.executemany(_add(place(kind)), [(pk, month, pk, month, pk, month, *steps) for pk, *steps in lines])
        cursor.executemany(_LATER, [(*steps, pk, month) for pk, *steps in lines])


@cache
def _add(name: str) -> str:
    begins = ", ".join(
        f"COALESCE((SELECT {closing(of)} FROM inventory_monthly b WHERE b.material_id = %s AND b.month < %s "
        "ORDER BY b.month DESC LIMIT 1), 0)"
        for of in ("quantity", "value")
    )
    moved = ", ".join("%s, %s" if each == name else "0, 0" for each in MOVED)
    added = ", ".join(f"{at} = inventory_monthly.{at} + excluded.{at}" for at in (f"{name}_quantity", f"{name}_value"))
    return (
        f"INSERT INTO inventory_monthly (material_id, month, {', '.join(FIGURES)}) VALUES (%s, %s, {begins}, {moved}) "
        f"ON CONFLICT (material_id, month) DO UPDATE SET {added}"
    )


@transaction.atomic
def rebuild() -> None:
    """Every month balance anew, from the movements alone: for what wrote movements past the services."""
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM inventory_monthly")
        cursor.execute(_REBUILD)
