"""Materials as they are listed, and what can be said of one in words: its substance, how it is kept, what would leave."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import QuerySet

from inventory import formats, money, units
from inventory.base import measures, selectors as workshop
from inventory.base.finding import hits
from inventory.ledger import selectors as ledger
from inventory.materials import breaks
from inventory.materials.models import Material
from inventory.substances import SUBSTANCES, Substance

MILD = "No usual hazard"


def substance(material: Material) -> Substance | None:
    return SUBSTANCES.get(material.substance)


def sheet(material: Material) -> str:
    """The maker's own safety data sheet of it in words: “your data sheet of 3 Mar 2025”; empty where none was named."""
    if not material.sheet:
        return ""
    return f"your data sheet of {_day(material.sheet_on)}" if material.sheet_on else "your data sheet"


def warned_by(material: Material) -> str:
    """Whose words of caution on a material are: "sheet", of the maker's data sheet, where they were noted from it; "check", to
    be checked with it; "note", the maker's own; "usual", of a published classification; "memory"."""
    known = substance(material)
    if material.sheet:
        return "sheet" if material.hazard_note else "check"
    if material.hazard_note:
        return "note"
    return "usual" if known and known.source else "memory"


def noted(material: Material) -> str:
    """The maker's own note of caution, with the sheet that it is from."""
    own, note = sheet(material), material.hazard_note
    return f"{note.rstrip('.')}, by {own}." if own and note else note


def cautions(material: Material) -> tuple[str, ...]:
    """The usual caution of its substance and the maker's own note, each with what it gives way to. Words noted from the maker's
    own sheet stand alone."""
    known, own, note = substance(material), sheet(material), noted(material)
    usual = known if known and not known.warns.startswith(MILD) else None
    if own and note:
        return (note,)
    if usual is None:
        return (note,) if note else ()
    return tuple(filter(None, (f"{usual.warns} Check {own}." if own else usual.hazard, note)))


def facts(material: Material) -> list[tuple[str, str]]:
    """Label and value of everything that is known; what was never said is left out."""
    known = substance(material)
    pack = material.pack_quantity
    told = [
        ("Code", material.code),
        ("Substance", f"{known.name}, {known.formula}" if known else ""),
        *(content(known, measures.weight_unit()) if known else []),
        ("Unit", units.label(material.unit)),
        ("Density", _density(material)),
        ("Usual pack", "" if pack is None else units.show(pack, material.unit)),
        ("Usual supplier", material.supplier.name if material.supplier else ""),
        ("Minimum order", "" if material.min_order is None else units.show(material.min_order, material.unit)),
        ("Price breaks", price_breaks(material)),
        ("Lead time", _days(material.lead_days)),
        ("Safety days", _days(material.safety_days)),
        ("It keeps", _days(material.shelf_life_days)),
        (
            "Safety data sheet",
            ", ".join(filter(None, (material.sheet, _day(material.sheet_on) if material.sheet_on else ""))),
        ),
        ("Place", material.place.name if material.place else ""),
    ]
    return [(label, value) for label, value in told if value]


def price_breaks(material: Material) -> str:
    """The price breaks in words: “from 5 packs 6.20 € a pack, from 10 packs 5.80 €; for all packs of the order”."""
    currency, places = workshop.current().currency, workshop.places()
    found = [
        f"from {each.packs} packs {money.show(each.price, currency)}"
        for each in breaks.parse(material.price_breaks, places)
    ]
    if not found:
        return ""
    found[0] += " a pack"
    return f"{', '.join(found)}; for {material.get_breaks_on_display().lower()}"


def content(known: Substance, unit: str = "kg") -> list[tuple[str, str]]:
    """Moles of aluminium and of neutralising alkali in a kilogram, or another weight, of the pure substance: n ÷ molar mass ×
    its grams.

    >>> content(SUBSTANCES["potash_alum"]), content(SUBSTANCES["soda_ash"])
    ([('Aluminium', '2.108 mol a kg')], [('Alkali', '18.870 mol OH⁻ a kg')])
    """
    parts = (("Aluminium", known.aluminium_per_mol, "mol"), ("Alkali", known.alkali_per_mol, "mol OH⁻"))
    weight = Fraction(units.factor(unit)) / Fraction(known.molar_mass)
    return [
        (label, f"{formats.figure(money.half_up(moles * weight, 3))} {mole} a {units.label(unit)}")
        for label, moles, mole in parts
        if moles
    ]


def _density(material: Material) -> str:
    density = material.density_g_per_ml
    if density is None:
        return ""
    unit = material.weighed_in or "us_cup"
    known = f"{formats.plain(density)} g/mL; " if measures.weight_unit() == "kg" else ""
    return f"{known}a level {units.label(unit)} is {level(material, unit)}"


def level(material: Material, unit: str) -> str:
    """What a level cup or spoon of it weighs: in grams, or in ounces where it is kept by a unit that is not metric."""
    own = "g" if material.base in units.METRIC else "oz"
    weighs = units.to_base(money.half_up(1, 0), unit, own, density_g_per_ml=material.density_g_per_ml)
    return units.told(money.half_up(weighs, 0 if own == "g" else 1), own)


def _day(on: date) -> str:
    return formats.day(on)


def _days(days: int | None) -> str:
    return "" if not days else f"{days} day{'' if days == 1 else 's'}"


def shelf() -> QuerySet[Material]:
    return Material.objects.select_related("place", "supplier").order_by("name", "code")


def leaving(material: Material, quantity: Decimal, on: date) -> str:
    """What would leave the shelf and what would stay, in words; posts nothing."""
    amount, there = units.show(quantity, material.unit), ledger.available(material, on)
    value = ledger.worth([(material, quantity)], on)[0]
    if value is None or quantity > there:
        held = units.show(max(there, Decimal(0)), material.unit)
        return f"{amount} are more than the {held} on the shelf that day."
    remaining = units.show(there - quantity, material.unit)
    worth = money.show(value, workshop.current().currency)
    return f"{amount} would leave the shelf with {worth}; {remaining} would remain. Nothing is posted yet."


def search(words: str) -> QuerySet[Material]:
    """Materials by code, name and exact substance."""
    return hits(Material.objects.all(), words, ("code", "name", "substance"))
