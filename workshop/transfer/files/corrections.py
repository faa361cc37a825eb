"""Corrections of deliveries as a file: what was taken out again of which line. A delivery is named by its
`seq`, or where the rows have none by the row that it begins in."""

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any

from inventory import units
from inventory.deliveries import selectors as deliveries
from inventory.deliveries.corrections import services as corrections
from inventory.errors import Refused
from inventory.materials.services import to_base
from inventory.models import Movement
from workshop.transfer.format.events import Event
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

FILE = "corrections.csv"


def saved(movement: Movement, numbers: dict[int, int]) -> dict[str, Any]:
    """What the row knows better than the movement; `numbers` are those of the entries saved, by posting (id)."""
    line = movement.corrects.line
    lines = [each.pk for each in deliveries.lines(line.delivery)]
    return {
        "delivery": numbers[line.delivery.posting_id],
        "line": lines.index(line.pk) + 1,
        "quantity": units.least(-movement.quantity, movement.material.unit),
    }


def events(rows: Iterable[CsvRow], rank: int) -> list[Event]:
    """Neighbours of one delivery are one entry."""
    found = []
    for _, group in groupby(rows, key=lambda row: (row["seq"], row["delivery"])):
        together = tuple(group)
        found.append(Event(together[0]["date"], rank, together, _write))
    return found


def _write(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    with session.writing(*rows, count=len(rows)):
        delivery = session.find("deliveries.csv", str(rows[0]["delivery"]), "delivery")
        lines = list(deliveries.lines(delivery))
        taken = {}
        for row in rows:
            if row["line"] > len(lines):
                raise Refused(f"The delivery has {len(lines)} lines, and no line {row['line']}.", field="line")
            line = lines[row["line"] - 1]
            material = line.movement.material
            taken[line.pk] = to_base(material, row["quantity"], material.unit)
        corrections.correct(delivery=delivery, quantities=taken, **session.arguments(rows[0]))
