"""The stock ledger as files: openings, deliveries, uses, counts, corrections, and the method by which they are valued.

Saved, every entry is numbered in the order it was written. What was reversed is left out. A count is written as what must have
been counted: the balance of its day at that moment, over the entries that are saved.

Loaded without `seq` the order is by date, then change of the valuation method, opening, delivery, use, count, correction, then
file row. With it, entries are written in the order of their numbers, and rows that share a number are one entry.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from itertools import groupby

from costing.make.batches.issues import services as issues
from inventory.base import bought, checks
from inventory.deliveries import services as deliveries
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.materials import services as materials
from inventory.models import Kind, Material, Posting
from workshop.transfer.files import corrections, valuation
from workshop.transfer.files.recipes import line_of
from workshop.transfer.format.events import Event, Run, in_order
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession, Leaning

COUNT_REASON = "count difference"
LEDGER = ("materials.csv", "openings.csv", "deliveries.csv", "uses.csv", "counts.csv", corrections.FILE, valuation.FILE)

_COMMON = {
    "deliveries.csv": ("date", "supplier", "ref"),
    corrections.FILE: ("date", "delivery", "note"),
    "uses.csv": ("date", "batch", "skins", "share_by", "frame", "reason", "sale", "note"),
}
_OF_THE_WHOLE = ("carriage", "carriage_tax_percent", "with_tax", "original_sum", "original_currency", "bill")


def load_ledger(session: ImportSession) -> None:
    run = Run("ledger", LEDGER, _entry)
    by_number = run.numbered(session, [row for file in LEDGER for row in session.rows(file) if _moves_stock(row)])
    if by_number is not None:
        run.write(session, _joined(in_order(_events(session, by_number), by_number=by_number), by_number))


def _moves_stock(row: CsvRow) -> bool:
    return row.file.name != "materials.csv" or bool(row["opening_quantity"])


def _entry(row: CsvRow) -> tuple[object, ...]:
    """What rows of one entry have in common."""
    common = _COMMON.get(row.file.name)
    return (row.file.name, *((row[name] for name in common) if common else (row.number,)))


def _events(session: ImportSession, by_number: bool) -> list[Event]:
    return [
        *valuation.events(session.rows(valuation.FILE), -1),
        *(Event(row["opening_date"], 0, (row,), _open) for row in _dated_openings(session)),
        *(Event(row["date"], 1, (row,), _open_further) for row in session.rows("openings.csv")),
        *(Event(rows[0]["date"], 2, rows, _deliver) for rows in _gathered(session.rows("deliveries.csv"), by_number)),
        *(Event(row["date"], 3, (row,), _use) for row in session.rows("uses.csv")),
        *(Event(row["date"], 4, (row,), _count) for row in session.rows("counts.csv")),
        *corrections.events(session.rows(corrections.FILE), 5),
    ]


def _dated_openings(session: ImportSession) -> list[CsvRow]:
    found = []
    for row in filter(_moves_stock, session.rows("materials.csv")):
        if row["opening_date"] is None:
            session.complain(row, "An opening quantity needs its day. Fill in opening_date.", "opening_date")
        else:
            found.append(row)
    return found


def _gathered(rows: Iterable[CsvRow], by_number: bool) -> list[tuple[CsvRow, ...]]:
    """Delivery rows by entry; without a reference only neighbours belong together."""
    groups: dict[object, list[CsvRow]] = {}
    key: object = None
    last: object = None
    for row in rows:
        entry = _entry(row)
        if by_number:
            key = row["seq"]
        elif row["ref"]:
            key = entry
        elif entry != last:
            key = row.number
        groups.setdefault(key, []).append(row)
        last = entry
    return [tuple(group) for group in groups.values()]


def _joined(events: Sequence[Event], by_number: bool) -> Iterable[Event]:
    """Uses next to each other that agree in everything but the material are one entry: a bath that was mixed."""

    def together(event: Event) -> object:
        first = event.rows[0]
        if first.file.name != "uses.csv":
            return first.file.name, first.number
        return _entry(first), first["seq"] if by_number else None

    for _, group in groupby(events, key=together):
        first, *others = group
        yield Event(first.on, first.rank, (*first.rows, *(row for other in others for row in other.rows)), first.write)


def _open(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    (row,) = rows
    with session.writing(row, noun="openings"):
        material = session.known["materials.csv"].get(row["code"])
        if material is None:  # the material of this very row was refused, so its opening is not judged
            raise Leaning
        materials.open_stock(
            material=material,
            on=row["opening_date"],
            quantity=row["opening_quantity"],
            unit=material.unit,
            value=row["opening_value"],
        )


def _open_further(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    (row,) = rows
    with session.writing(row, noun="openings"):
        said = session.arguments(row)
        materials.open_stock(**said, unit=row["unit"] or said["material"].unit)


def _deliver(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    first = rows[0]
    lines = session.checked(rows, _delivery_line)
    if lines is None or not session.agree(rows, _OF_THE_WHOLE, "delivery", on_each=True):
        return
    if not session.agree(rows, ("how", "due_on", "order"), "delivery"):
        return
    with session.writing(*rows, count=len(rows)):
        said = session.arguments(first, "material", "packs", "pack_quantity", "pack_price", "tax_percent")
        said |= {"tax_percent": first["carriage_tax_percent"], "bill": session.bill(first)}
        made = deliveries.record(**said, lines=lines)
        session.known["deliveries.csv"][str(first["seq"] or first.number)] = made
        session.keep_bill(made.bill)


def _delivery_line(session: ImportSession, row: CsvRow) -> deliveries.Line:
    material, unit = _measured(session, row)
    materials.to_base(material, row["packs"] * row["pack_quantity"], unit)
    checks.coins(row["pack_price"], f"The price of {material.name}", field="pack_price")
    return deliveries.Line(
        material, row["packs"], row["pack_quantity"], row["pack_price"], unit, bought.check_rate(row["tax_percent"])
    )


def _measured(session: ImportSession, row: CsvRow) -> tuple[Material, str]:
    """The material of a row and the unit its quantity is in: the material's own, where the cell is empty."""
    material: Material = session.named(row, "material")
    return material, row["unit"] or material.unit


def _use(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    first = rows[0]
    amounts = session.checked(rows, _amount)
    if amounts is None:
        return
    with session.writing(*rows, count=len(rows)):
        if first["reason"]:
            draws = [ledger.Draw(each.material, *_base(each.material, each.quantity, each.unit)) for each in amounts]
            posting = ledger.issue(kind=Kind(first["reason"]), on=first["date"], draws=draws, reason=first["note"])
            _set_aside(session, first, posting)
        else:
            issues.issue(**session.arguments(first, "material", "quantity"), amounts=amounts, keeps_start=True)


def _base(material: Material, quantity: Decimal, unit: str) -> tuple[Decimal, str]:
    """A quantity in the base unit of its material, and as it was typed."""
    return materials.to_base(material, quantity, unit), f"{quantity.normalize():f} {unit}"


def _set_aside(session: ImportSession, row: CsvRow, posting: Posting) -> None:
    """Packing waits for the sale it went with, which is written later."""
    if not row["sale"]:
        return
    if row["sale"] in session.packing:
        there = session.packing[row["sale"]][0].number
        raise Refused(f"Row {there} packs {row['sale']} too. What was packed together is one entry.", field="sale")
    session.packing[row["sale"]] = row, posting


def _amount(session: ImportSession, row: CsvRow) -> issues.Amount:
    material, unit = _measured(session, row)
    went_into = row["batch"] or row["skins"] or row["frame"]
    if row["reason"] and went_into:
        raise Refused(
            "A reason is for goods that went into no batch and on no skin. Leave one of them empty.", field="reason"
        )
    if not (row["reason"] or went_into):
        raise Refused("Name the batch or the skins it was for, or the reason it left the shelf.", field="reason")
    if row["sale"] and row["reason"] != Kind.SOLD:
        raise Refused("Packing of a sale leaves the shelf with the reason sold.", field="sale")
    materials.to_base(material, row["quantity"], unit)
    planned = None if row["planned"] is None else materials.to_base(material, row["planned"], unit)
    return issues.Amount(material, row["quantity"], unit, planned, row["line"] and line_of(session, row))


def _count(session: ImportSession, rows: Sequence[CsvRow]) -> None:
    (row,) = rows
    with session.writing(row):
        material, unit = _measured(session, row)
        counted, typed = _base(material, row["quantity"], unit)
        ledger.count(**{**session.arguments(row), "counted": counted}, typed=typed)
