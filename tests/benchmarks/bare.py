"""The bare limits: the same work as plain SQL and plain PDF, with no rule, no check and no program around it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from io import BytesIO
from itertools import groupby
from typing import Any

import numpy as np
from django.db import connection, transaction

POSTING = (
    'INSERT INTO inventory_posting (kind, "on", reason, written_at, written_by_id, reverses_id) '
    "VALUES (%s, %s, '', '2025-06-01 12:00:00+00:00', NULL, NULL) RETURNING id"
)

MOVEMENT = (
    "INSERT INTO inventory_movement "
    '(posting_id, material_id, kind, "on", month, quantity, value, quantity_left, value_left, typed) '
    "VALUES (%s, %s, %s, %s, %s, %s, %s, %s, %s, '1 g') RETURNING id"
)

DRAW = "INSERT INTO inventory_lotdraw (movement_id, lot_id, quantity, value) VALUES (%s, %s, %s, 0)"
WALK = "SELECT material_id, quantity, value, quantity_left, value_left FROM inventory_movement ORDER BY id"
GRAM = 1000  # quantities are kept in thousandths of the base unit


def post(shelves: Sequence[tuple[int, int]], on: str, month: int) -> None:
    """A gram out of each shelf (material and lot) in one transaction: the posting, then by line the balance read and written back
    and the rows that say why."""
    with transaction.atomic(), connection.cursor() as cursor:
        _post(cursor, shelves, on, month)


def post_all(times: int, material: int, lot: int, on: str, month: int) -> None:
    """The same many times in one transaction, as a load does it."""
    with transaction.atomic(), connection.cursor() as cursor:
        for _ in range(times):
            _post(cursor, [(material, lot)], on, month)


def _post(cursor: Any, shelves: Sequence[tuple[int, int]], on: str, month: int) -> None:
    run = cursor.execute
    run(POSTING, ["use", on])
    (posting,) = cursor.fetchone()
    for material, lot in shelves:
        run("SELECT on_hand, value FROM inventory_material WHERE id = %s", [material])
        held, value = cursor.fetchone()
        left = held - GRAM
        run("UPDATE inventory_material SET on_hand = %s WHERE id = %s", [left, material])
        run(MOVEMENT, [posting, material, "use", on, month, -GRAM, 0, left, value])
        (movement,) = cursor.fetchone()
        run("UPDATE inventory_lot SET quantity = quantity - %s WHERE id = %s", [GRAM, lot])
        run(DRAW, [movement, lot, -GRAM])


def fetch(sql: str, *values: object) -> list[tuple[object, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        return list(cursor.fetchall())


def walk() -> int:
    """Every movement in the order of its key, added up to what it left, on integers; how many do not."""
    held: dict[int, tuple[int, int]] = {}
    differing = 0
    with connection.cursor() as cursor:
        cursor.execute(WALK)
        while rows := cursor.fetchmany(5000):
            for material, quantity, value, left, worth in rows:
                there, of = held.get(material, (0, 0))
                held[material] = there, of = there + quantity, of + value
                differing += there != left or of != worth
    return differing


def empty_page() -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, invariant=1)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


Line = tuple[float, float, str, float, str]  # where, type, size, words


def what_is_drawn(paper: bytes) -> list[tuple[list[Line], list[str]]]:
    """The lines of text of each page with their places, and what its codes say, as another program reads them."""
    import pypdf

    lines: list[Line] = []

    def seen(words: str, _: object, at: list[float], font: dict[str, str] | None, size: float) -> None:
        bold = font is not None and "Bold" in font["/BaseFont"]
        for line in filter(str.strip, words.splitlines()):
            lines.append((at[4], at[5], "TawerySansBold" if bold else "TawerySans", size, line))

    found = []
    for page in pypdf.PdfReader(BytesIO(paper)).pages:
        lines.clear()
        page.extract_text(visitor_text=seen)
        found.append((list(lines), [number for line in lines for number in re.findall(r"\bH\d{4}\b", line[-1])]))
    return found


def labels(drawn: list[tuple[list[Line], list[str]]]) -> bytes:
    """The same words at the same places, and a code for each number, straight on a canvas."""
    import segno
    from reportlab.pdfgen.canvas import Canvas

    out = BytesIO()
    canvas = Canvas(out, invariant=1)
    for lines, numbers in drawn:
        for x, y, font, size, words in lines:
            canvas.setFont(font, size)
            canvas.drawString(x, y, words)
        for at, number in enumerate(numbers):
            shape = canvas.beginPath()
            for row, signs in enumerate(segno.make(number, error="m", micro=False).matrix):
                left = 0
                for dark, run in groupby(signs):
                    wide = len(list(run))
                    if dark:
                        shape.rect(at * 20 + left * 1.4, 400 - row * 1.4, wide * 1.4, 1.4)
                    left += wide
            canvas.drawPath(shape, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def draw(materials: int, days: int, paths: int) -> None:
    """A number for every day of every path, added up by day."""
    for number in range(materials):
        np.random.default_rng(number).random((days, paths)).cumsum(axis=0)
