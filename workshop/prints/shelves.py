"""The label of a shelf or other place from records: what is kept there and the least to have of it."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from inventory import units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.materials import selectors as materials_selectors
from inventory.models import Material, Place
from inventory.restock import selectors as stock
from workshop.prints import known

if TYPE_CHECKING:
    from workshop.papers.shelf_label import Kept, ShelfLabel


def shelf_label(place: str) -> ShelfLabel:
    """A place by its name. The least to have is what goes while an order is on its way, by own use of the past year."""
    from workshop.papers.shelf_label import ShelfLabel

    row = Place.objects.filter(name__iexact=place).first()
    if row is None:
        raise Refused(f"There is no place {place}. Places are listed under Shelf, Places.", field="place")
    return ShelfLabel(place=row.name, kept=_kept(row), workshop=workshop.current().name)


def _kept(row: Place) -> tuple[Kept, ...]:
    from workshop.papers import hazards
    from workshop.papers.shelf_label import Kept

    rows: list[Material] = list(materials_selectors.shelf().filter(place=row))
    looks = stock.looks(rows, workshop.today())
    kept = []
    for material in rows:
        least = looks[material.pk].order_level
        signal, _ = hazards.split(known.hazard_words([material]))
        kept.append(Kept(material.name, _least(least, material) if least else "", signal))
    return tuple(kept)


def _least(amount: Decimal, material: Material) -> str:
    """In the material's own unit; below a tenth of it in the base unit, where 0.0076 kg is easier read as 7.6 g."""
    small = 10 * amount < units.factor(material.unit)
    return stock.about(amount, material.base if small else material.unit)
