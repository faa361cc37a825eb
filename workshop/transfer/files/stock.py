"""The stock ledger as files: openings, deliveries, uses, counts, corrections, and the method by which they are valued.

Saved, every entry is numbered in the order it was written. What was reversed is left out. A count is written as what must have
been counted: the balance of its day at that moment, over the entries that are saved.

Loaded without `seq` the order is by date, then change of the valuation method, opening, delivery, use, count, correction, then
file row. With it, entries are written in the order of their numbers, and rows that share a number are one entry.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from itertools import count, groupby
from typing import Any

from django.db.models import Prefetch

from costing.make.batches.issues import services as issues
from costing.models import PlannedAmount
from inventory import units
from inventory.base import bought, checks
from inventory.deliveries import services as deliveries
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.materials import services as materials
from inventory.models import Kind, Material, Movement, Posting
from workshop.transfer.files import corrections, valuation
from workshop.transfer.files.recipes import line_of
from workshop.transfer.format import writers
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.events import Event, Run, in_order
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession, Leaning

_COUNT_REASON = "count difference"
LEDGER = ("materials.csv", "openings.csv", "deliveries.csv", "uses.csv", "counts.csv", corrections.FILE, valuation.FILE)

_COMMON = {
    "deliveries.csv": ("date", "supplier", "ref"),
    corrections.FILE: ("date", "delivery", "note"),
    "uses.csv": ("date", "batch", "skins", "share_by", "frame", "reason", "sale", "note"),
}
_OF_THE_WHOLE = ("carriage", "carriage_tax_percent", "with_tax", "original_sum", "original_currency", "bill")


class SavedLedger:
    """The rows by file, and the opening columns of each material by its id."""

    def __init__(self) -> None:
        self.files: dict[str, list[Cells]] = {file: [] for file in LEDGER[1:]}
        self.openings: dict[int, dict[str, Any]] = {}
        self.numbers: dict[int, int] = {}
        self._held: dict[int, list[tuple[date, Decimal]]] = defaultdict(list)
        numbers = count(1)
        changes = valuation.Saved(numbers)
        for posting in _not_reversed():
            self.files[valuation.FILE] += changes.before(posting.pk)
            number = next(numbers)
            self.numbers[posting.pk] = number
            for movement in posting.movements.all():
                self._held[movement.material_id].append((movement.on, movement.quantity))
                self._add(posting, movement, number)
        self.files[valuation.FILE] += changes.rest()

    def _add(self, posting: Posting, movement: Movement, number: int) -> None:
        match posting.kind:
            case Kind.OPENING if movement.material_id not in self.openings:
                # The first one is in the row of its material, in the material's own unit.
                self.openings[movement.material_id] = {
                    "opening_date": movement.on,
                    "opening_quantity": units.least(movement.quantity, movement.material.unit),
                    "opening_value": movement.value,
                    "seq": number,
                }
                return
            case Kind.OPENING:
                file, worked_out = "openings.csv", _as_typed(movement, movement.quantity)
            case Kind.RECEIPT:
                file, worked_out = "deliveries.csv", _delivered(movement)
            case Kind.COUNT:
                file, worked_out = "counts.csv", self._counted(posting, movement)
            case Kind.CORRECTED:
                file, worked_out = corrections.FILE, corrections.saved(movement, self.numbers)
            case _:
                file, worked_out = "uses.csv", _used(posting, movement)
        self.files[file].append(FILES[file].cells(movement, seq=number, **worked_out))

    def _counted(self, posting: Posting, movement: Movement) -> dict[str, Any]:
        counted = sum((moved for on, moved in self._held[movement.material_id] if on <= movement.on), Decimal(0))
        note = "" if posting.reason == _COUNT_REASON else posting.reason
        return {**_as_typed(movement, counted), "note": note}


def _not_reversed() -> list[Posting]:
    movements = Movement.objects.select_related(
        "material", "planned__line", "delivery_line", "corrects__line__delivery"
    ).order_by("pk")
    return list(
        Posting.objects.filter(reverses__isnull=True, reversed_by__isnull=True)
        .select_related("delivery__supplier", "use__batch", "use__frame")
        .prefetch_related(Prefetch("movements", queryset=movements), "use__skins", "sales")
        .order_by("pk")
    )


def _as_typed(movement: Movement, moved: Decimal) -> dict[str, Any]:
    quantity, unit = writers.typed(movement.typed, moved, movement.material)
    return {"quantity": quantity, "unit": unit}


def _delivered(movement: Movement) -> dict[str, Any]:
    unit = movement.material.unit
    return {"pack_quantity": units.least(movement.delivery_line.pack_quantity, unit), "unit": unit}


def _used(posting: Posting, movement: Movement) -> dict[str, Any]:
    typed = _as_typed(movement, -movement.quantity)
    planned = getattr(movement, "planned", None)
    sale = next(iter(posting.sales.all()), None)
    return {
        **typed,
        "reason": None if posting.kind == Kind.USE else posting.kind,
        "planned": _planned(planned, typed["unit"], movement.material),
        "sale": sale and sale.number,
    }


def _planned(planned: PlannedAmount | None, unit: str, material: Material) -> Decimal | None:
    asked = planned.quantity if planned else None
    return None if asked is None else writers.in_unit(asked, unit, material)


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
    if not session.agree(rows, ("how", "due_on"), "delivery"):
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
