"""The stock ledger as it is saved: every entry numbered in the order it was written; what was reversed is left out.

A count is written as what must have been counted: the balance of its day at that moment, over the entries that are saved.
"""

from collections import defaultdict
from datetime import date
from decimal import Decimal
from itertools import count
from typing import Any

from django.db.models import Prefetch

from costing.models import PlannedAmount
from inventory import units
from inventory.errors import Refused
from inventory.models import Kind, Material, Movement, Posting
from workshop.transfer.files import corrections, valuation
from workshop.transfer.files.stock import COUNT_REASON, LEDGER
from workshop.transfer.format import writers
from workshop.transfer.format.columns import FILES, Cells


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
            _refuse_bare(posting)
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
        note = "" if posting.reason == COUNT_REASON else posting.reason
        return {**_as_typed(movement, counted), "note": note}


_SAYS = {Kind.RECEIPT: "delivery_line", Kind.CORRECTED: "corrects"}


def _refuse_bare(posting: Posting) -> None:
    """What a posting was for is saved from the row that says so. Deleted by hand, it cannot be made up."""
    said = _SAYS.get(Kind(posting.kind), "")
    bare = said and not all(hasattr(movement, said) for movement in posting.movements.all())
    if bare or (posting.kind == Kind.RECEIPT and not hasattr(posting, "delivery")):
        raise Refused(
            f"The delivery of {posting.on} (posting {posting.pk}) is not whole: a row of it was deleted in the database. "
            "`check_books` names it. Restore the last copy from before that, and save then."
        )


def _not_reversed() -> list[Posting]:
    movements = Movement.objects.select_related(
        "material", "planned__line", "delivery_line", "corrects__line__delivery"
    ).order_by("pk")
    return list(
        Posting.objects.filter(reverses__isnull=True, reversed_by__isnull=True)
        .select_related("delivery__supplier", "delivery__order", "use__batch", "use__frame")
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
