"""Loading the stock ledger: openings, deliveries, uses and counts, in one order.

Without `seq` the order is by date, then opening, delivery, use, count, then file row. With it, entries are written in the
order of their numbers, and rows that share a number are one entry.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby

from costing.make.batches.issues import services as batches
from inventory.base import checks
from inventory.deliveries import services as deliveries
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.materials import services as materials_services
from inventory.materials.shelf import services as materials
from inventory.models import Kind, Posting
from inventory.suppliers import services as suppliers
from workshop.exchange.desk import Desk
from workshop.exchange.files import LEDGER
from workshop.exchange.ordering import numbered
from workshop.exchange.parsing import Row


@dataclass(frozen=True)
class Event:
    """Rows that are one entry, and how to write them."""

    on: date
    rank: int
    rows: tuple[Row, ...]
    write: Callable[[Desk, Sequence[Row]], None]

    def by_day(self) -> tuple[date, int, int, int]:
        return self.on, self.rank, self.rows[0].table.file == "openings.csv", self.rows[0].number

    def by_number(self) -> tuple[int, int]:
        return self.rows[0]["seq"], self.rank


def load(desk: Desk) -> None:
    desk.ledger_broken = any(problem.file in LEDGER for problem in desk.problems)
    in_order = _numbered(desk)
    if in_order is None:
        return
    for event in _in_order(desk, in_order):
        before = len(desk.problems), desk.unchecked
        event.write(desk, event.rows)
        desk.ledger_broken |= before != (len(desk.problems), desk.unchecked)


def _numbered(desk: Desk) -> bool | None:
    rows = [row for file in LEDGER for row in desk.rows(file) if _moves_stock(row)]
    return numbered(desk, rows, _entry, "ledger")


def _moves_stock(row: Row) -> bool:
    return row.table.file != "materials.csv" or bool(row["opening_quantity"])


def _entry(row: Row) -> tuple[object, ...]:
    """What rows of one entry have in common."""
    match row.table.file:
        case "deliveries.csv":
            return row.table.file, row["date"], row["supplier"], row["ref"]
        case "uses.csv":
            return row.table.file, row["date"], row["batch"], row["skins"], row["reason"], row["sale"], row["note"]
    return row.table.file, row.number


def _in_order(desk: Desk, by_number: bool) -> list[Event]:
    events = [
        *(Event(row["opening_date"], 0, (row,), _open) for row in _dated_openings(desk)),
        *(Event(row["date"], 0, (row,), _open_further) for row in desk.rows("openings.csv")),
        *(Event(rows[0]["date"], 1, rows, _deliver) for rows in _gathered(desk.rows("deliveries.csv"), by_number)),
        *(Event(row["date"], 2, (row,), _use) for row in desk.rows("uses.csv")),
        *(Event(row["date"], 3, (row,), _count) for row in desk.rows("counts.csv")),
    ]
    events.sort(key=Event.by_number if by_number else Event.by_day)
    return list(_joined(events, by_number))


def _dated_openings(desk: Desk) -> list[Row]:
    found = []
    for row in filter(_moves_stock, desk.rows("materials.csv")):
        if row["opening_date"] is None:
            desk.complain(row, "An opening quantity needs its day. Fill in opening_date.", "opening_date")
        else:
            found.append(row)
    return found


def _gathered(rows: Iterable[Row], by_number: bool) -> list[tuple[Row, ...]]:
    """Delivery rows by entry; without a reference only neighbours belong together."""
    groups: dict[object, list[Row]] = {}
    last: Row | None = None
    key: object = None
    for row in rows:
        if by_number:
            key = row["seq"]
        elif row["ref"]:
            key = _entry(row)
        elif last is None or _entry(last) != _entry(row):
            key = row.number
        groups.setdefault(key, []).append(row)
        last = row
    return [tuple(group) for group in groups.values()]


def _joined(events: Sequence[Event], by_number: bool) -> Iterable[Event]:
    """Uses next to each other that agree in everything but the material are one entry: a bath that was mixed."""

    def together(event: Event) -> object:
        first = event.rows[0]
        if first.table.file != "uses.csv":
            return first.table.file, first.number
        return _entry(first), first["seq"] if by_number else None

    for _, group in groupby(events, key=together):
        first, *others = group
        yield Event(first.on, first.rank, (*first.rows, *(row for other in others for row in other.rows)), first.write)


def _open(desk: Desk, rows: Sequence[Row]) -> None:
    (row,) = rows
    with desk.writing(row, noun="openings"):
        material = desk.of_own_row(row)
        materials.open_stock(
            material=material,
            on=row["opening_date"],
            quantity=row["opening_quantity"],
            unit=material.unit,
            value=Decimal(row["opening_value"]),
        )


def _open_further(desk: Desk, rows: Sequence[Row]) -> None:
    (row,) = rows
    with desk.writing(row, noun="openings"):
        material = desk.material(row)
        materials.open_stock(
            material=material,
            on=row["date"],
            quantity=row["quantity"],
            unit=row["unit"] or material.unit,
            value=Decimal(row["value"]),
        )


def _deliver(desk: Desk, rows: Sequence[Row]) -> None:
    first = rows[0]
    lines = [line for row in rows if (line := _delivery_line(desk, first, row))]
    if len(lines) < len(rows):
        return
    with desk.writing(*rows, count=len(rows)):
        supplier = suppliers.named(name=first["supplier"])
        deliveries.record(
            supplier=supplier, on=first["date"], ref=first["ref"], carriage=Decimal(first["carriage"]), lines=lines
        )


def _delivery_line(desk: Desk, first: Row, row: Row) -> deliveries.Line | None:
    with desk.checking(row):
        material = desk.material(row)
        if row["carriage"] != first["carriage"]:
            raise Refused(
                f"It differs from row {first.number}. One delivery has one carriage, the same on each row.",
                field="carriage",
            )
        unit = row["unit"] or material.unit
        materials_services.to_base(material, row["packs"] * row["pack_quantity"], unit)
        checks.coins(row["pack_price"], f"The price of {material.name}", field="pack_price")
        return deliveries.Line(material, row["packs"], row["pack_quantity"], row["pack_price"], unit)
    return None


def _use(desk: Desk, rows: Sequence[Row]) -> None:
    first = rows[0]
    amounts = [amount for row in rows if (amount := _amount(desk, row))]
    if len(amounts) < len(rows):
        return
    with desk.writing(*rows, count=len(rows)):
        if first["reason"]:
            draws = [
                ledger.Draw(
                    each.material,
                    materials_services.to_base(each.material, each.quantity, each.unit),
                    f"{each.quantity.normalize():f} {each.unit}",
                )
                for each in amounts
            ]
            posting = ledger.issue(kind=Kind(first["reason"]), on=first["date"], draws=draws, reason=first["note"])
            _set_aside(desk, first, posting)
        else:
            batches.put_in_work(
                batch=desk.batch(first),
                on=first["date"],
                amounts=amounts,
                tags=desk.skins(first, first["skins"]),
                reason=first["note"],
                keeps_start=True,
            )


def _set_aside(desk: Desk, row: Row, posting: Posting) -> None:
    """Packing waits for the sale it went with, which is written later."""
    if not row["sale"]:
        return
    if row["sale"] in desk.packing:
        there = desk.packing[row["sale"]][0].number
        raise Refused(f"Row {there} packs {row['sale']} too. What was packed together is one entry.", field="sale")
    desk.packing[row["sale"]] = row, posting


def _amount(desk: Desk, row: Row) -> batches.Amount | None:
    with desk.checking(row):
        material = desk.material(row)
        if row["reason"] and (row["batch"] or row["skins"]):
            raise Refused(
                "A reason is for goods that went into no batch and on no skin. Leave one of them empty.", field="reason"
            )
        if not (row["reason"] or row["batch"] or row["skins"]):
            raise Refused("Name the batch or the skins it was for, or the reason it left the shelf.", field="reason")
        if row["sale"] and row["reason"] != Kind.SOLD:
            raise Refused("Packing of a sale leaves the shelf with the reason sold.", field="sale")
        unit = row["unit"] or material.unit
        materials_services.to_base(material, row["quantity"], unit)
        planned = None if row["planned"] is None else materials_services.to_base(material, row["planned"], unit)
        return batches.Amount(material, row["quantity"], unit, planned)
    return None


def _count(desk: Desk, rows: Sequence[Row]) -> None:
    (row,) = rows
    with desk.writing(row):
        material = desk.material(row)
        unit = row["unit"] or material.unit
        ledger.count(
            on=row["date"],
            material=material,
            counted=materials_services.to_base(material, row["quantity"], unit),
            reason=row["note"],
            typed=f"{row['quantity'].normalize():f} {unit}",
        )
