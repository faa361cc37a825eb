"""The bare limits: the same work as plain SQL and plain PDF, with no rule, no check and no program around it."""

from __future__ import annotations

from io import BytesIO

import numpy as np
from django.db import connection, transaction

POSTING = (
    'INSERT INTO inventory_posting (kind, "on", reason, written_at, written_by_id, reverses_id) '
    "VALUES (%s, %s, '', '2025-06-01 12:00:00', NULL, NULL)"
)

MOVEMENT = (
    "INSERT INTO inventory_movement "
    '(posting_id, material_id, kind, "on", month, quantity, value, quantity_left, value_left, typed) '
    "VALUES (%s, %s, %s, %s, %s, %s, %s, %s, %s, '1 g')"
)

DRAW = "INSERT INTO inventory_lotdraw (movement_id, lot_id, quantity, value) VALUES (%s, %s, %s, 0)"
GRAM = 1000  # quantities are kept in thousandths of the base unit


def post(material: int, lot: int, on: str, month: int) -> None:
    """One gram out of one lot, as its own transaction: read the balance, write it back, and the three rows that say why."""
    with transaction.atomic(), connection.cursor() as cursor:
        _post(cursor, material, lot, on, month)


def post_all(times: int, material: int, lot: int, on: str, month: int) -> None:
    """The same many times in one transaction, as a load does it."""
    with transaction.atomic(), connection.cursor() as cursor:
        for _ in range(times):
            _post(cursor, material, lot, on, month)


def _post(cursor: object, material: int, lot: int, on: str, month: int) -> None:
    run = cursor.execute  # type: ignore[attr-defined]
    run("SELECT on_hand, value FROM inventory_material WHERE id = %s", [material])
    held, value = cursor.fetchone()  # type: ignore[attr-defined]
    left = held - GRAM
    run("UPDATE inventory_material SET on_hand = %s WHERE id = %s", [left, material])
    run(POSTING, ["use", on])
    posting = cursor.lastrowid  # type: ignore[attr-defined]
    run(MOVEMENT, [posting, material, "use", on, month, -GRAM, 0, left, value])
    movement = cursor.lastrowid  # type: ignore[attr-defined]
    run("UPDATE inventory_lot SET quantity = quantity - %s WHERE id = %s", [GRAM, lot])
    run(DRAW, [movement, lot, -GRAM])


def fetch(sql: str, *values: object) -> list[tuple[object, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return list(cursor.fetchall())


def empty_page() -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, invariant=1)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def draw(materials: int, days: int, paths: int) -> None:
    """A number for every day of every path, added up by day."""
    for number in range(materials):
        np.random.default_rng(number).random((days, paths)).cumsum(axis=0)
