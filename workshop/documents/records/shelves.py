"""The label of a shelf or other place from records: what is kept there and the level to reorder at."""

from decimal import Decimal

from inventory import units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.foresight import selectors as foresight
from inventory.foresight.words import about
from inventory.models import Material, Place
from workshop.documents.labels import hazards
from workshop.documents.labels.shelf_label import Kept, ShelfLabel
from workshop.documents.records import shared


def shelf_label(place: str) -> ShelfLabel:
    """A place by its name. The level to reorder at is the forecast's: never below one usual batch."""
    row = Place.objects.filter(name__iexact=place).first()
    if row is None:
        raise Refused(f"There is no place {place}. Places are listed under Shelf, Places.", field="place")
    return ShelfLabel(place=row.name, kept=_kept(row), workshop=workshop.current().name)


def _kept(row: Place) -> tuple[Kept, ...]:
    rows: list[Material] = list(foresight.shelf().filter(place=row))
    outlooks = foresight.by_material(workshop.today(), rows)
    kept = []
    for material in rows:
        level = outlooks[material.pk].forecast.reorder_point
        signal, _ = hazards.split(shared.hazard_words([material]))
        kept.append(Kept(material.name, _amount(level, material) if level else "", signal))
    return tuple(kept)


def _amount(amount: Decimal, material: Material) -> str:
    """In the material's own unit; below a tenth of it in the base unit, where 0.0076 kg is easier read as 7.6 g."""
    small = 10 * amount < units.ratio(material.unit)
    return about(amount, material.base if small else material.unit)
