"""The ledger's statements, written out: a posting of any number of lines is about nine of them. Called by the ledger's services
and by nobody else; what may be written was judged there, and values here are whole thousandths.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from datetime import date
from functools import cache

from django.contrib.auth.models import User
from django.db import connection
from django.utils import timezone

from inventory.base.chain import services as chain
from inventory.ledger.models import Kind, Posting
from inventory.ledger.months import services as months
from inventory.ledger.months.rules import Steps, month_of
from inventory.ledger.pen import keys, told, trips
from inventory.ledger.pen.rules import Left, Line, Shelf, days_before

_AT_ONCE = 500  # rows in one statement: databases take some tens of thousands of values
_SHELVES = "SELECT m.id, m.unit, m.shelf_life_days, m.on_hand, m.value"
_MATERIAL = f"{_SHELVES} FROM inventory_material m"
_LATER = """
SELECT material_id, SUM(quantity), SUM(value) FROM inventory_movement
WHERE material_id IN ({}) AND "on" > %s GROUP BY material_id, "on" ORDER BY "on" DESC
"""
_LOTS = """
SELECT material_id, id, quantity, value FROM inventory_lot
WHERE material_id IN ({}) AND quantity > 0 ORDER BY "on", id
"""
_SHELF = "UPDATE inventory_material SET on_hand = %s, value = %s WHERE id = %s"
_LOT = "UPDATE inventory_lot SET quantity = %s, value = %s WHERE id = %s"
_POSTINGS = 'id, kind, "on", reason, written_at, written_by_id'
_MOVEMENTS = 'id, posting_id, material_id, kind, "on", month, quantity, value, quantity_left, value_left, typed'
_NEW_LOTS = 'material_id, movement_id, "on", expires_on, quantity, value'
_DRAWS = "movement_id, lot_id, quantity, value"
_POSTING, _MOVEMENT = "inventory_posting", "inventory_movement"
Statement = tuple[str, Sequence[trips.Row]]


class Shelves(dict[int, Shelf]):
    """Each by the key of its material. `ahead`: the keys that the posting and its movements will have."""

    ahead: dict[str, list[int]]


def shelves(materials: Collection[int], on: date, *, lines: int, to_draw: bool = True) -> Shelves:
    """The rows of these materials, locked in id order, for a posting of so many lines; `to_draw`, with their lots and how they
    stood day by day.

    SQLite writes under one lock that is held already, so one statement reads shelf and lots. PostgreSQL would read the lots as
    they were before it waited for the shelf.
    """
    wanted = sorted(materials)
    listed = _marks(len(wanted))
    rows = f"{_MATERIAL} WHERE m.id IN ({listed}) ORDER BY m.id"
    if connection.vendor == "sqlite":
        there = [(_joined(len(wanted)), wanted)] if to_draw else [(rows, wanted)]
    else:
        there = [(f"{rows} FOR UPDATE", wanted)] + ([(_LOTS.format(listed), wanted)] if to_draw else [])
    days = [(_LATER.format(listed), [*wanted, on])] if to_draw else []
    many = {_POSTING: 1, _MOVEMENT: lines}
    *answers, given = trips.ask([*there, *days, keys.taking(many)])
    found = Shelves()
    found.ahead = keys.taken(given, many)
    for pk, unit, shelf_life, held, worth, *_ in answers[0]:
        if pk not in found:
            found[pk] = Shelf(held, worth, unit=unit, shelf_life=shelf_life)
    if to_draw:
        lots = [(row[0], *row[5:]) for row in answers[0] if row[5] is not None] if len(there) == 1 else answers[1]
        for pk, lot, quantity, value in lots:
            found[pk].lots.append(Left(lot, quantity, value))
        later: dict[int, list[Steps]] = defaultdict(list)
        for pk, quantity, value in answers[-1]:
            later[pk].append((int(quantity), int(value)))
        for pk, shelf in found.items():
            shelf.days = days_before((shelf.held, shelf.worth), later[pk])
    return found


def post(kind: Kind, on: date, reason: str, by: User | None, lines: Sequence[Line], on_shelves: Shelves) -> Posting:
    """A new posting with its lines, on the shelves that were locked for it."""
    [key], movements = on_shelves.ahead[_POSTING], on_shelves.ahead[_MOVEMENT]
    posting = Posting(pk=key, kind=kind, on=on, reason=reason, written_at=timezone.now(), written_by=by)
    moment = connection.ops.adapt_datetimefield_value(posting.written_at)  # SQLite keeps it without its zone
    row = (key, str(kind), on, reason, moment, by.pk if by else None)
    trips.send([*_inserting(_POSTING, _POSTINGS, [row]), *_written(posting, list(zip(movements, lines, strict=True)))])
    posting._state.adding, posting._state.db = False, connection.alias
    chain.told(posting, told.posting(posting, month_of(on), lines))
    return posting


def write(posting: Posting, line: Line) -> int:
    """One more movement (its key) of a posting that is there, on a shelf that is locked."""
    [answer] = trips.ask([keys.taking({_MOVEMENT: 1})])
    [key] = keys.taken(answer, {_MOVEMENT: 1})[_MOVEMENT]
    trips.send(_written(posting, [(key, line)]))
    return key


def _written(posting: Posting, written: Sequence[tuple[int, Line]]) -> list[Statement]:
    """The movements by their keys, the balances they leave, the lots, and what each month has of them."""
    kind, on, month = str(posting.kind), posting.on, month_of(posting.on)
    rows = [
        (key, posting.pk, line.material, kind, on, month, line.quantity, line.value, *line.left, line.typed)
        for key, line in written
    ]
    new = [
        (line.material, key, on, line.expires, line.quantity, line.lot_value)
        for key, line in written
        if line.lot_value is not None
    ]
    draws = [(key, part.lot, part.quantity, part.value) for key, line in written for part in line.parts]
    shelves_left = {line.material: line.left for _, line in written}
    lots_left = {part.lot: part.left for _, line in written for part in line.parts}
    return [
        *_inserting(_MOVEMENT, _MOVEMENTS, rows),
        (_SHELF, [(*left, pk) for pk, left in shelves_left.items()]),
        (_LOT, [(*left, pk) for pk, left in lots_left.items()]),
        *_inserting("inventory_lot", _NEW_LOTS, new),
        *_inserting("inventory_lotdraw", _DRAWS, draws),
        *months.kept(kind, month, _of_each_material(written)),
    ]


def _of_each_material(written: Iterable[tuple[int, Line]]) -> list[tuple[int, int, int, Steps | None]]:
    """What all lines of a material move together, and what was there before the first of them."""
    found: dict[int, tuple[int, int, int, Steps | None]] = {}
    for _, line in written:
        _, quantity, value, before = found.get(line.material, (0, 0, 0, line.before))
        found[line.material] = line.material, quantity + line.quantity, value + line.value, before
    return list(found.values())


def _inserting(table: str, columns: str, rows: Sequence[trips.Row]) -> list[Statement]:
    """Many rows in few statements, each with its values."""
    parts = [rows[at : at + _AT_ONCE] for at in range(0, len(rows), _AT_ONCE)]
    return [
        (_insertion(table, columns, len(part[0]), len(part)), [[value for row in part for value in row]])
        for part in parts
    ]


@cache
def _insertion(table: str, columns: str, values: int, rows: int) -> str:
    return f"INSERT INTO {table} ({columns}) VALUES {', '.join([f'({_marks(values)})'] * rows)}"


@cache
def _joined(materials: int) -> str:
    return (
        f"{_SHELVES}, l.id, l.quantity, l.value FROM inventory_material m "
        "LEFT JOIN inventory_lot l ON l.material_id = m.id AND l.quantity > 0 "
        f'WHERE m.id IN ({_marks(materials)}) ORDER BY m.id, l."on", l.id'
    )


def _marks(number: int) -> str:
    return ", ".join(["%s"] * number)
