"""Purchase orders as a file: a row a line. What came by them is in deliveries.csv, which names them.

An order that was closed is closed when all deliveries are written, for none comes by an order that is closed.
"""

from collections.abc import Iterator

from inventory import units
from inventory.errors import Refused
from inventory.models import OrderLine
from inventory.orders import services as orders
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

FILE = "orders.csv"
_OF_LINE = ("material", "packs", "pack_quantity", "pack_price")
_OF_END = ("closed_on", "closed_why")
_OF_ORDER = ("supplier", "date", "due_on", "ref", "note", *_OF_END)


def saved() -> Iterator[Cells]:
    rows = OrderLine.objects.select_related("order__supplier", "material")
    for row in sorted(rows, key=lambda row: (row.order.on, row.order_id, row.pk)):
        unit = row.material.unit
        yield FILES[FILE].cells(row, pack_quantity=units.least(row.pack_quantity, unit), unit=unit)


def load(session: ImportSession) -> None:
    for rows in session.by_name(FILE).values():
        first = rows[0]
        lines = session.checked(rows, _line)
        if lines is None or not session.agree(rows, _OF_ORDER, "order"):
            continue
        with session.writing(*rows, count=len(rows)):
            said = session.arguments(first, *_OF_LINE, *_OF_END)
            session.keep(first, orders.place(**said, lines=lines))


def close(session: ImportSession) -> None:
    for rows in session.by_name(FILE).values():
        first = rows[0]
        if not any(first[name] for name in _OF_END):
            continue
        with session.checking(first):
            order = session.find(FILE, first.name, "order")
            if first["closed_on"] is None:
                raise Refused("It is missing and is needed beside closed_why.", field="closed_on")
            orders.close(order=order, on=first["closed_on"], reason=first["closed_why"])


def _line(session: ImportSession, row: CsvRow) -> orders.Line:
    material = session.named(row, "material")
    line = orders.Line(material, row["packs"], row["pack_quantity"], row["unit"] or material.unit, row["pack_price"])
    orders.ordered(line)
    return line
