"""The usual use of materials, remembered by what the ledger last said of each.

Movements are only ever added: what was used of a material up to a day is other than it was only when something more was written of
it, a reversal included. So the uses of years are read once for each last entry, and of those alone that have a new one.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import NamedTuple

from django.db.models import CharField, Min, OuterRef, Subquery
from django.db.models.functions import Cast

from inventory.base import signals
from inventory.foresight import demand
from inventory.foresight.demand import Usual
from inventory.foresight.rules import KEPT
from inventory.ledger.models import Movement
from inventory.materials.models import Material


class Last(NamedTuple):
    """The last entry of a material: its key, when it was written, and what it left. No two of any books are alike in all of it."""

    movement: int | None
    written: str | None
    quantity: Decimal
    value: Decimal


@dataclass
class _Slot:
    usual: Usual | None = None


@lru_cache(KEPT)
def _slot(material: int, last: Last, on: date) -> _Slot:
    """Where the answer is kept, empty at first."""
    return _Slot()


def usual(materials: Sequence[int], on: date) -> dict[int, Usual]:
    """By material (its key) how it was used up to a day."""
    slots = {pk: _slot(pk, last, on) for pk, last in _last(materials).items()}
    if new := [pk for pk, slot in slots.items() if slot.usual is None]:
        for pk, found in _read(new, on).items():
            slots[pk].usual = found
    return {pk: slot.usual for pk, slot in slots.items() if slot.usual}


def _last(materials: Sequence[int]) -> dict[int, Last]:
    """One seek for each material."""
    newest = Movement.objects.filter(material=OuterRef("pk")).order_by("-pk")
    written = newest.annotate(text=Cast("posting__written_at", CharField()))
    rows = Material.objects.filter(pk__in=materials).order_by()
    told = rows.values_list(
        "pk", Subquery(newest.values("pk")[:1]), Subquery(written.values("text")[:1]), "on_hand", "value"
    )
    return {pk: Last(*last) for pk, *last in told}


def _read(materials: Sequence[int], on: date) -> dict[int, Usual]:
    uses: dict[int, list[demand.Use]] = defaultdict(list)
    for _, answer in signals.uses_sought.send(None, materials=materials, on=on):
        if isinstance(answer, Mapping):
            for pk, of in answer.items():
                uses[pk].extend(of)
    moved = Movement.objects.filter(material__in=materials).order_by()
    first = dict(moved.values("material").annotate(first=Min("on")).values_list("material", "first"))
    return {pk: demand.usual(uses[pk], first.get(pk) or on, on) for pk in materials}
