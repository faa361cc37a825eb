"""What the month balances say, as whole thousandths: a page makes decimals of the few figures that it shows.

A month without movements has no row; what it began with is what the material's newest row before it left.
"""

from collections.abc import Iterable, Iterator
from itertools import chain, groupby
from operator import itemgetter
from typing import Any

from django.db import connection

from inventory.ledger.months.columns import FIGURES, FROM_MOVEMENTS, closing
from inventory.ledger.months.rules import Steps

_MOST_NAMED = 500
# One seek a material; asked by its key, since with the greatest month SQLite would look through every row instead.
_NEWEST = """
JOIN inventory_monthly b ON b.id = (
  SELECT x.id FROM inventory_monthly x WHERE x.material_id = m.id AND x.month <= %s ORDER BY x.month DESC LIMIT 1
)
"""
_LEFT = f"""
SELECT m.id, {closing("quantity")}, {closing("value")} FROM inventory_material m
{_NEWEST}
"""
_GONE = "b.sold_{of} + b.other_{of}"
_SHOWN = ("quantity", "value")
_MONTH = f"""
SELECT m.code AS code, m.name AS name, m.unit,
  {", ".join(f"b.first_{of} + b.opening_{of}" for of in _SHOWN)}, {", ".join(f"b.came_{of}" for of in _SHOWN)},
  {", ".join(f"-b.used_{of}" for of in _SHOWN)}, {", ".join(f"-({_GONE.format(of=of)})" for of in _SHOWN)}
FROM inventory_monthly b JOIN inventory_material m ON m.id = b.material_id
WHERE b.month = %s AND (b.first_quantity + b.opening_quantity <> 0 OR b.came_quantity <> 0 OR b.used_quantity <> 0
  OR {_GONE.format(of="quantity")} <> 0)
UNION ALL
SELECT m.code, m.name, m.unit, {closing("quantity")}, {closing("value")}, 0, 0, 0, 0, 0, 0 FROM inventory_material m
{_NEWEST}
WHERE m.id NOT IN (SELECT material_id FROM inventory_monthly WHERE month = %s) AND {closing("quantity")} <> 0
ORDER BY name, code
"""
_NAMES = "SELECT code FROM inventory_material ORDER BY name, code"
# Material by material, as the index has them: sorting so many rows by name takes longer than reading them.
_CELLS = """
SELECT m.code, m.name, m.unit, b.month, -b.used_quantity, -b.used_value
FROM inventory_material m CROSS JOIN inventory_monthly b
WHERE b.material_id = m.id AND b.month BETWEEN %s AND %s AND (b.used_quantity <> 0 OR b.used_value <> 0)
ORDER BY m.id, b.month
"""
_USED = "SELECT month, -SUM(used_value) FROM inventory_monthly WHERE month BETWEEN %s AND %s GROUP BY month"
# From each month one seek to the one before it: as many steps as months, however many rows.
_KNOWN = """
WITH RECURSIVE known (month) AS (
  SELECT MAX(month) FROM inventory_monthly
  UNION ALL
  SELECT (SELECT MAX(b.month) FROM inventory_monthly b WHERE b.month < known.month) FROM known WHERE known.month IS NOT NULL
)
SELECT month FROM known WHERE month IS NOT NULL
"""
_COLUMNS = f"material_id, month, {', '.join(FIGURES)}"
# A month that stands and is worked out alike is there twice; what is there once differs.
_DIFFER = f"""
SELECT {_COLUMNS}, MIN(kept) FROM (
  SELECT {_COLUMNS}, 1 AS kept FROM inventory_monthly
  UNION ALL
  SELECT made.*, 0 FROM ({FROM_MOVEMENTS}) AS made
) AS each_way GROUP BY {_COLUMNS} HAVING COUNT(*) <> 2 ORDER BY material_id, month
"""


def _rows(sql: str, *values: int) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return list(cursor.fetchall())


def left(month: int, materials: Iterable[int] | None = None) -> dict[int, Steps]:
    """By material (its key): what the month left, of each that had moved by its end."""
    if materials is None:
        return {pk: (quantity, value) for pk, quantity, value in _rows(_LEFT, month)}
    wanted = set(materials)
    if len(wanted) > _MOST_NAMED:
        return {pk: steps for pk, steps in left(month).items() if pk in wanted}
    if not wanted:
        return {}
    named = f"{_LEFT} WHERE m.id IN ({', '.join(['%s'] * len(wanted))})"
    return {pk: (quantity, value) for pk, quantity, value in _rows(named, month, *wanted)}


def month_rows(month: int) -> list[tuple[Any, ...]]:
    """(code, name, unit, then quantity and value of: opening, received, used, other), by name, of what was there or moved."""
    return _rows(_MONTH, month, month, month)


def used_rows(first: int, last: int) -> list[tuple[str, str, str, int, int, int]]:
    """(code, name, unit, month, quantity, value) used, for each pair that has any, by name and month."""
    found = {code: list(rows) for code, rows in groupby(_rows(_CELLS, first, last), key=itemgetter(0))}
    return list(chain.from_iterable(found.get(code, ()) for (code,) in _rows(_NAMES)))


def used_values(first: int, last: int) -> dict[int, int]:
    """By month with movements: the value used."""
    return {month: int(value) for month, value in _rows(_USED, first, last)}


def known() -> list[int]:
    """Months in which something moved, newest first."""
    return [month for (month,) in _rows(_KNOWN)]


def differing() -> Iterator[tuple[int, int, dict[str, int], dict[str, int]]]:
    """(material, month, the figures kept, the figures that the movements say) where they differ. Reads the movements anew."""
    for (material, month), rows in groupby(_rows(_DIFFER), key=lambda row: (row[0], row[1])):
        sides: dict[int, dict[str, int]] = {0: {}, 1: {}}
        for row in rows:
            sides[row[-1]] = dict(zip(FIGURES, row[2:-1], strict=True))
        yield material, month, sides[1], sides[0]
