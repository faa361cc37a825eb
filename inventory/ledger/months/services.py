"""The month balances as they are written: with each movement, in its transaction. Called by the ledger's pen and by nobody else."""

from collections.abc import Iterable
from functools import cache

from django.db import connection, transaction

from inventory.ledger.months.columns import FIGURES, FROM_MOVEMENTS, MOVED, closing, place
from inventory.ledger.months.rules import Steps

_REBUILD = f"INSERT INTO inventory_monthly (material_id, month, {', '.join(FIGURES)}) {FROM_MOVEMENTS}"
_LEFT_BEFORE = """COALESCE((
  SELECT {} FROM inventory_monthly b WHERE b.material_id = %s AND b.month < %s ORDER BY b.month DESC LIMIT 1
), 0)"""
_LATER = """
UPDATE inventory_monthly SET first_quantity = first_quantity + %s, first_value = first_value + %s
WHERE material_id = %s AND month > %s
"""


def kept(
    kind: str, month: int, moved: Iterable[tuple[int, int, int, Steps | None]]
) -> list[tuple[str, list[tuple[object, ...]]]]:
    """What adds one posting to its month: material (its key), signed quantity and value, and what was there `before` it, if it is
    known that nothing of it is later. All in thousandths; who sends it holds the materials' rows.

    A material's first movement in a month begins where its last month before ended; a late one changes what each later
    month began with.
    """
    last: list[tuple[object, ...]] = []
    late = []
    for pk, quantity, value, before in moved:
        if before is None:
            late.append((pk, quantity, value))
        else:
            last.append((pk, month, *before, quantity, value))
    name, left = place(kind), [_LEFT_BEFORE.format(closing(of)) for of in ("quantity", "value")]
    return [
        (_add(name, "%s", "%s"), last),
        (_add(name, *left), [(pk, month, pk, month, pk, month, *steps) for pk, *steps in late]),
        (_LATER, [(*steps, pk, month) for pk, *steps in late]),
    ]


@cache
def _add(name: str, quantity: str, value: str) -> str:
    """To these columns, in a month that begins with such a quantity and value where it has no row yet."""
    moved = ", ".join("%s, %s" if each == name else "0, 0" for each in MOVED)
    added = ", ".join(f"{at} = inventory_monthly.{at} + excluded.{at}" for at in (f"{name}_quantity", f"{name}_value"))
    return (
        f"INSERT INTO inventory_monthly (material_id, month, {', '.join(FIGURES)}) VALUES (%s, %s, {quantity}, {value}, {moved}) "
        f"ON CONFLICT (material_id, month) DO UPDATE SET {added}"
    )


@transaction.atomic
def rebuild() -> None:
    """Every month balance anew, from the movements alone: for what wrote movements past the services."""
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM inventory_monthly")
        cursor.execute(_REBUILD)
