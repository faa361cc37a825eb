"""The label of a shelf or other place from records: what is kept there and the level to reorder at."""

from collections.abc import Sequence
from decimal import Decimal

from inventory import units
from inventory.base import selectors as workshop
from inventory.foresight import selectors as foresight
from inventory.foresight.words import about
from inventory.models import Material, Place
from workshop.documents.labels import hazards
from workshop.documents.labels.shelf_label import Kept, ShelfLabel
from workshop.documents.records import shared


def shelf_labels(places: Sequence[str]) -> list[ShelfLabel]:
    """Places by their names. The level to reorder at is the forecast's: never below one usual batch."""
    rows = shared.called(
        Place.objects.all(), "name", places, "There is no place {}. Places are listed under Shelf, Places."
    )
    kept, maker = _kept(rows), workshop.current().name
    return [ShelfLabel(place=row.name, kept=tuple(kept.get(row.pk, ())), workshop=maker) for row in rows]


def shelf_label(place: str) -> ShelfLabel:
    return shelf_labels([place])[0]


def _kept(places: Sequence[Place]) -> dict[int, list[Kept]]:
    """By the id of a place: what is kept there."""
    rows: list[Material] = list(foresight.shelf().filter(place__in=places))
    outlooks = foresight.by_material(workshop.today(), rows)
    kept: dict[int, list[Kept]] = {}
    for material in rows:
        level = outlooks[material.pk].forecast.reorder_point
        signal, _ = hazards.split(shared.hazard_words([material]))
        here = Kept(material.name, _amount(level, material) if level else "", signal)
        kept.setdefault(material.place_id or 0, []).append(here)
    return kept


def _amount(amount: Decimal, material: Material) -> str:
    """In the material's own unit; below a tenth of it in the base unit, where 0.0076 kg is easier read as 7.6 g."""
    small = 10 * amount < units.ratio(material.unit)
    return about(amount, material.base if small else material.unit)
