"""Materials: what a jar or sack on the shelf is, exactly, and what was in it when the books began, through the ledger."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db import transaction

from inventory import money, substances, units
from inventory.base import checks, selectors as workshop
from inventory.base.services import service
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.ledger.models import Kind, Posting
from inventory.materials import breaks
from inventory.materials.models import Material
from inventory.permits import Act, Person
from inventory.places import services as places
from inventory.places.models import Place
from inventory.suppliers.models import Supplier

# The heaviest that a shelf of powders and liquids could hold is far below mercury; above it the scale stood in another unit.
HEAVIEST = Decimal(10)

# Measures of volume in which nobody doses a powder by hand.
METRIC = ("mL", "dL", "L")


@dataclass(frozen=True)
class Details:
    """All that can be said of a material. Amounts are in its own `unit`; density in g per mL, weighed by the maker,
    and `weighed_in` which cup or spoon; `price_breaks` as
    `breaks.parse` reads them in a file; `sheet` and `sheet_on`: whose safety data sheet the maker has, and its date."""

    name: str
    unit: str
    substance: str = ""
    density_g_per_ml: Decimal | None = None
    pack_quantity: Decimal | None = None
    min_order: Decimal | None = None
    price_breaks: str = ""
    breaks_on: str = Material.BreaksOn.ALL
    lead_days: int = 0
    safety_days: int = 0
    shelf_life_days: int | None = None
    hazard_note: str = ""
    weighed_in: str = ""
    sheet: str = ""
    sheet_on: date | None = None
    supplier: Supplier | None = None
    place: Place | None = None


@service(Act.GOODS, makes=Material)
def create(*, code: str, details: Details, by: Person = None, request_key: str | None = None) -> Material:
    """A new material with nothing on the shelf."""
    material = Material(code=checks.new_code(code, "The code", Material, field="code"))
    _describe(material, details)
    material.place = details.place
    material.save()
    return material


@service(Act.GOODS)
def change(*, material: Material, details: Details, by: Person = None) -> Material:
    """Say it better. The unit may change within its system (kg to g, lb to oz); the base never does once something moved.

    Where it is changes by `services.moves` alone, so that its places are known day by day.
    """
    row = Material.objects.select_for_update().get(pk=material.pk)
    base = row.base
    places.stays_put(row, details.place)
    _describe(row, details)
    if row.base != base and (row.movements.exists() or row.recipe_lines.exists() or row.order_lines.exists()):
        raise Refused(
            f"{row.name} is kept in {units.label(base)} and entries exist, so it cannot become {units.label(row.base)}. Leave its "
            "unit: amounts may be entered in any that measures the same. Or make a new material.",
            field="unit",
        )
    row.save()
    return row


@service(Act.GOODS)
def weigh(*, material: Material, measure: Decimal, unit: str, grams: Decimal, by: Person = None) -> Material:
    """Keep the density of a levelled measure that was weighed: grams ÷ millilitres, half up to three places; and which cup or
    spoon that was.

    What was posted before stays as it was weighed then.
    """
    row = Material.objects.select_for_update().get(pk=material.pk)
    if units.metric_of(row.base) not in ("g", "mL"):
        raise Refused(
            f"{row.name} is kept in {units.label(row.base)}; a density would join mass and volume only.", field="unit"
        )
    if units.metric_of(unit) != "mL":
        raise Refused(
            f"{units.label(unit)} is not a measure of volume; choose a cup, a spoon or millilitres.", field="unit"
        )
    volume = units.to_base(checks.positive(measure, "The measure", field="measure"), unit, "mL")
    checks.positive(grams, "The weight", field="grams")
    density = money.half_up(Fraction(grams) / Fraction(volume), 3) if volume else Decimal(0)
    if not density or density > HEAVIEST:
        raise Refused(
            f"{grams} g in {measure} {units.label(unit)} would be {density} g a millilitre, which no powder or liquid "
            "of the workshop weighs. Check the measure and the unit of the scale.",
            field="grams",
        )
    measured = units.canonical(unit)
    row.density_g_per_ml, row.weighed_in = density, "" if measured in METRIC else measured
    row.save(update_fields=["density_g_per_ml", "weighed_in"])
    return row


def to_base(material: Material, quantity: Decimal, unit: str) -> Decimal:
    """A typed measure of this material in its base unit; a volume becomes mass through its own weighed density only."""
    return units.to_base(
        quantity,
        unit,
        material.base,
        density_g_per_ml=material.density_g_per_ml,
        name=f"{material.name} ({material.code})",
    )


def packed(material: Material, packs: Decimal, pack_quantity: Decimal, unit: str) -> Decimal:
    """How much so many packs of `pack_quantity` `unit` hold, in the base unit; refuses what cannot be bought."""
    checks.held(checks.positive(packs, f"The packs of {material.name}", field="packs"), field="packs")
    checks.positive(pack_quantity, f"The pack of {material.name}", field="pack_quantity")
    pack = to_base(material, pack_quantity, unit)
    checks.positive(pack, f"The pack of {material.name} in {units.label(material.base)}", field="pack_quantity")
    amount = to_base(material, packs * pack_quantity, unit)
    if amount <= 0:
        raise Refused(f"That is less than the least amount kept of {material.name}.", field="pack_quantity")
    return checks.sized(amount, f"So much {material.name} as", field="packs")


@transaction.atomic
def open_stock(
    *,
    material: Material,
    on: date,
    quantity: Decimal,
    unit: str,
    value: Decimal,
    by: Person = None,
    request_key: str | None = None,
) -> Posting:
    """What was on the shelf when the books began: quantity in `unit`, value in money."""
    amount = to_base(material, quantity, unit)
    arrival = ledger.Arrival(
        material, amount, checks.coins(value, "The opening value", field="value"), f"{quantity} {unit}"
    )
    return ledger.receive(
        kind=Kind.OPENING, on=on, arrivals=[arrival], by=by, reason="opening stock", request_key=request_key
    )


def _describe(row: Material, details: Details) -> None:
    row.name = checks.text(details.name, "The name", field="name", longest=80, needed=True)
    row.base = units.base_of(details.unit)
    row.unit = units.canonical(details.unit)
    row.substance = substances.substance_slug(details.substance) if details.substance else ""
    row.density_g_per_ml = row.pack_quantity = None
    if details.density_g_per_ml is not None:
        checks.positive(details.density_g_per_ml, "The density", field="density_g_per_ml")
        row.density_g_per_ml = money.half_up(details.density_g_per_ml, 3)
        checks.positive(row.density_g_per_ml, "The density to three decimals", field="density_g_per_ml")
    if details.pack_quantity is not None:
        checks.positive(details.pack_quantity, "The pack", field="pack_quantity")
        row.pack_quantity = units.to_base(details.pack_quantity, row.unit, row.base, name=row.name)
        checks.positive(row.pack_quantity, f"The pack in {units.label(row.base)}", field="pack_quantity")
    row.min_order = None
    if details.min_order is not None:
        checks.positive(details.min_order, "The minimum order", field="min_order")
        row.min_order = units.to_base(details.min_order, row.unit, row.base, name=row.name)
        checks.positive(row.min_order, f"The minimum order in {units.label(row.base)}", field="min_order")
    digits = workshop.places()
    row.price_breaks = breaks.written(breaks.parse(details.price_breaks, digits), digits)
    row.breaks_on = checks.choice(
        details.breaks_on, Material.BreaksOn.values, "way that price breaks hold", field="breaks_on"
    )
    for name in ("lead_days", "safety_days", "shelf_life_days"):
        days = getattr(details, name)
        if days is not None and not 0 <= days <= 3650:
            raise Refused(f"{name.replace('_', ' ').capitalize()} must be 0 to 3650; {days} was given.", field=name)
        setattr(row, name, days)
    row.weighed_in = units.canonical(details.weighed_in) if details.weighed_in else ""
    if row.weighed_in and (units.metric_of(row.weighed_in) != "mL" or row.density_g_per_ml is None):
        raise Refused(
            f"{units.label(row.weighed_in)} says which cup was weighed: name a measure of volume, and the density found by it.",
            field="weighed_in",
        )
    row.sheet = checks.text(details.sheet, "The safety data sheet", field="sheet", longest=120)
    if details.sheet_on is not None:
        checks.day(details.sheet_on, field="sheet_on", posts=False)
        if not row.sheet:
            raise Refused("A date needs its safety data sheet: enter whose it is.", field="sheet")
    row.sheet_on = details.sheet_on
    row.hazard_note = checks.text(details.hazard_note, "The hazard note", field="hazard_note", longest=200)
    row.supplier = details.supplier
