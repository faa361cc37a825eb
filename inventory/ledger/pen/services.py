"""The ledger's statements, written out: a posting of any number of lines is about nine of them. Called by the ledger's services
and by nobody else; what may be written was judged there, and values here are whole thousandths.
"""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import islice
from typing import Any

from django.contrib.auth.models import User
from django.db import connection
from django.utils import timezone

from inventory.ledger.models import Kind, Posting
from inventory.ledger.months import services as months
from inventory.ledger.months.rules import Steps, month_of
from inventory.ledger.pen.rules import Left, Part, Shelf, days_before

_AT_ONCE = 500  # rows in one statement: databases take some tens of thousands of values
_MATERIAL = "SELECT m.id, m.unit, m.shelf_life_days, m.on_hand, m.value"
_LATER = """
SELECT material_id, SUM(quantity), SUM(value) FROM inventory_movement
WHERE material_id IN ({}) AND "on" > %s GROUP BY material_id, "on" ORDER BY "on" DESC
"""
_LOTS = """
SELECT material_id, id, quantity, value FROM inventory_lot
WHERE material_id IN ({}) AND quantity > 0 ORDER BY "on", id FOR UPDATE
"""
_POSTING = """
INSERT INTO inventory_posting (kind, "on", reason, written_at, written_by_id) VALUES (%s, %s, %s, %s, %s) RETURNING id
"""
_SHELF = "UPDATE inventory_material SET on_hand = %s, value = %s WHERE id = %s"
_LOT = "UPDATE inventory_lot SET quantity = %s, value = %s WHERE id = %s"
_MOVEMENTS = 'posting_id, material_id, kind, "on", month, quantity, value, quantity_left, value_left, typed'
_NEW_LOTS = 'material_id, movement_id, "on", expires_on, quantity, value'
_DRAWS = "movement_id, lot_id, quantity, value"


@dataclass(frozen=True, slots=True)
class Line:
    """One movement: signed quantity and value, what it leaves on the shelf, what the month begins with if nothing of it is later
    (`before`), and either each lot's part or the lot that it becomes."""

    material: int
    quantity: int
    value: int
    left: Steps
    typed: str
    before: Steps | None = None
    parts: Sequence[Part] = ()
    lot_value: int | None = None
    expires: date | None = None


def shelves(materials: Collection[int], on: date, *, to_draw: bool = True) -> dict[int, Shelf]:
    """The rows of these materials (by key), locked in id order; `to_draw`, with their lots and how they stood day by day.

    SQLite writes under one lock that is held already, so one statement reads shelf and lots. PostgreSQL would read the lots as
    they were before it waited for the shelf.
    """
    keys = sorted(materials)
    listed = _marks(len(keys))
    one_writer = connection.vendor == "sqlite"
    found: dict[int, Shelf] = {}
    later: dict[int, list[Steps]] = defaultdict(list)
    with connection.cursor() as cursor:
        if to_draw and one_writer:
            cursor.execute(_joined(len(keys)), keys)
            for pk, unit, shelf_life, held, worth, lot, quantity, value in cursor.fetchall():
                if pk not in found:
                    found[pk] = Shelf(held, worth, [], [], unit, shelf_life)
                if lot is not None:
                    found[pk].lots.append(Left(lot, quantity, value))
        else:
            held_too = "" if one_writer else " FOR UPDATE"
            cursor.execute(
                f"{_MATERIAL} FROM inventory_material m WHERE m.id IN ({listed}) ORDER BY m.id{held_too}", keys
            )
            for pk, unit, shelf_life, held, worth in cursor.fetchall():
                found[pk] = Shelf(held, worth, [], [], unit, shelf_life)
        if not to_draw:
            return found
        if not one_writer:
            cursor.execute(_LOTS.format(listed), keys)
            for pk, lot, quantity, value in cursor.fetchall():
                found[pk].lots.append(Left(lot, quantity, value))
        cursor.execute(_LATER.format(listed), [*keys, on])
        for pk, quantity, value in cursor.fetchall():
            later[pk].append((int(quantity), int(value)))
    for pk, shelf in found.items():
        shelf.days = days_before((shelf.held, shelf.worth), later[pk])
    return found


def post(kind: Kind, on: date, reason: str, by: User | None, lines: Sequence[Line]) -> Posting:
    """A new posting with its lines, on shelves that are locked."""
    posting = Posting(kind=kind, on=on, reason=reason, written_at=timezone.now(), written_by=by)
    moment = connection.ops.adapt_datetimefield_value(posting.written_at)  # SQLite keeps it without its zone
    with connection.cursor() as cursor:
        cursor.execute(_POSTING, [str(kind), on, reason, moment, by.pk if by else None])
        (posting.pk,) = cursor.fetchone()
    posting._state.adding, posting._state.db = False, connection.alias
    write(posting, lines)
    return posting


def write(posting: Posting, lines: Sequence[Line]) -> list[int]:
    """The movements (their keys), the balances they leave, the lots, and what each month has of them. Shelves are locked."""
    kind, on, month = str(posting.kind), posting.on, month_of(posting.on)
    with connection.cursor() as cursor:
        cursor.executemany(_SHELF, [(*left, pk) for pk, left in {line.material: line.left for line in lines}.items()])
        rows = [
            (posting.pk, line.material, kind, on, month, line.quantity, line.value, *line.left, line.typed)
            for line in lines
        ]
        keys = sorted(_insert(cursor, "inventory_movement", _MOVEMENTS, rows, answers=True))
        written = list(zip(keys, lines, strict=True))
        changed = {part.lot: part.left for line in lines for part in line.parts}
        if changed:
            cursor.executemany(_LOT, [(*left, pk) for pk, left in changed.items()])
        new = [
            (line.material, key, on, line.expires, line.quantity, line.lot_value)
            for key, line in written
            if line.lot_value is not None
        ]
        _insert(cursor, "inventory_lot", _NEW_LOTS, new)
        draws = [(key, part.lot, part.quantity, part.value) for key, line in written for part in line.parts]
        _insert(cursor, "inventory_lotdraw", _DRAWS, draws)
        months.keep(cursor, kind, month, [(line.material, line.quantity, line.value, line.before) for line in lines])
    return keys


def _insert(
    cursor: Any, table: str, columns: str, rows: Sequence[tuple[object, ...]], *, answers: bool = False
) -> list[int]:
    """Many rows in few statements; their keys, where they are asked for."""
    keys: list[int] = []
    waiting = iter(rows)
    while some := list(islice(waiting, _AT_ONCE)):
        sql = _insertion(table, columns, len(some[0]), len(some))
        cursor.execute(f"{sql} RETURNING id" if answers else sql, [value for row in some for value in row])
        if answers:
            keys += (key for (key,) in cursor.fetchall())
    return keys


@cache
def _insertion(table: str, columns: str, values: int, rows: int) -> str:
    return f"INSERT INTO {table} ({columns}) VALUES {', '.join([f'({_marks(values)})'] * rows)}"


@cache
def _joined(materials: int) -> str:
    return (
        f"{_MATERIAL}, l.id, l.quantity, l.value FROM inventory_material m "
        "LEFT JOIN inventory_lot l ON l.material_id = m.id AND l.quantity > 0 "
        f'WHERE m.id IN ({_marks(materials)}) ORDER BY m.id, l."on", l.id'
    )


def _marks(number: int) -> str:
    return ", ".join(["%s"] * number)
