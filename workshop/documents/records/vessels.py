"""Labels of vessels from records: the bath in a tub, and the jar that something was decanted into."""

from collections.abc import Sequence
from decimal import Decimal

from django.db.models import OuterRef, Subquery

from costing.make.additions import selectors as additions
from costing.make.batches.issues import selectors as issues
from costing.make.batches.issues.selectors import Content, Filling
from costing.models import Batch
from inventory import units
from inventory.base import measures, selectors as workshop
from inventory.deliveries import selectors as deliveries
from inventory.errors import Refused
from inventory.materials import selectors as materials
from inventory.models import DeliveryLine, Material
from workshop.documents.labels.bath_label import BathLabel
from workshop.documents.labels.jar_label import JarLabel
from workshop.documents.records import shared

ML_PER_LITRE = Decimal(1000)
TO_WRITE = "________"


def bath_label(batch: str) -> BathLabel:
    """The bath of a batch as it is now: all that really went in since it was filled, in the maker's measure and by the litre.
    Not what the recipe would want."""
    row = shared.batch(batch)
    filling = _filling(row)
    if row.litres is None:
        raise Refused(
            f"{row.number} has no litres, so its strength is not known. Enter them in its plan, then print the label.",
            field="litres",
        )
    litres = row.litres / ML_PER_LITRE
    place = row.place
    return BathLabel(
        batch=row.number,
        contents=tuple((each.material.name, _told(each, litres)) for each in filling.contents),
        litres=litres,
        volume=measures.volume(row.litres),
        made_on=filling.made_on,
        added_on=filling.added_on,
        vessel=place.name if place else "",
        who_is_in_it=shared.inside(row, workshop.today(), filling.made_on),
        hazards=shared.hazard_words(each.material for each in filling.contents),
        warned_by=shared.warned_by(each.material for each in filling.contents),
        vessel_litres=place.litres / ML_PER_LITRE if place and place.litres else None,
        workshop=workshop.current().name,
    )


def _told(each: Content, litres: Decimal) -> str:
    amount = additions.in_own(each.line, each.quantity) if each.line else units.show(each.quantity, each.material.unit)
    return f"{amount} · {measures.strength(each.quantity, each.material.base, litres)}"


def jar_labels(codes: Sequence[str], litres: Decimal = Decimal(1)) -> list[JarLabel]:
    """Jars of `litres` that materials are decanted into. Days and the empty jar's weight are left to be written by hand."""
    lines = DeliveryLine.objects.filter(movement__material=OuterRef("pk"), delivery__in=deliveries.standing())
    last = Subquery(lines.order_by("-delivery__on", "-pk").values("pk")[:1])
    rows = shared.called(
        Material.objects.select_related("supplier").annotate(brought=last),
        "code",
        codes,
        "There is no material {}. Its code is on the page Shelf.",
    )
    brought = {row.pk: row.brought for row in rows if row.brought}  # type: ignore[attr-defined]
    found = DeliveryLine.objects.select_related("delivery__supplier").in_bulk(set(brought.values()))
    return [_jar_label(row, found.get(brought.get(row.pk)), litres) for row in rows]


def jar_label(code: str, litres: Decimal = Decimal(1)) -> JarLabel:
    return jar_labels([code], litres)[0]


def _jar_label(row: Material, brought: DeliveryLine | None, litres: Decimal) -> JarLabel:
    substance = materials.substance(row)
    supplier, unit = brought.delivery.supplier if brought else row.supplier, _cup(row)
    return JarLabel(
        name=row.name,
        formula=substance.formula if substance else "",
        supplier=supplier.name if supplier else "",
        lot=brought.delivery.ref if brought else "",
        opened_on=None,
        density=materials.level(row, unit) if unit else "",
        tare=f"{TO_WRITE} {'g' if row.base in units.METRIC else 'oz'}",
        hazards=shared.hazard_words([row]),
        warned_by=shared.warned_by([row]),
        litres=litres,
        workshop=workshop.current().name,
        code=row.code,
        cup=f"1 {units.label(unit)}" if unit else "",
    )


def _filling(row: Batch) -> Filling:
    if not issues.has_bath(row):
        raise Refused(
            f"{row.version} has no line by the litre, so {row.number} is in no bath. Print its card instead.",
            field="batch",
        )
    found = issues.last(row)
    if found is None:
        there = f"Half or more of what goes into the bath of {row.number} first is still to come"
        if not issues.anything(row):
            there = f"Nothing was added to the bath of {row.number} yet"
        raise Refused(f"{there}. A label says what is in the tub: add it to the batch, then print.", field="batch")
    return found


def _cup(row: Material) -> str:
    """The unit that a level measure of it was weighed in, or nothing. The day is not in the books; it is left to be written."""
    if row.density_g_per_ml is None or units.metric_of(row.base) not in ("g", "mL"):
        return ""
    return row.weighed_in or "us_cup"
