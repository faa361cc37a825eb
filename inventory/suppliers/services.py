"""Suppliers: made by name, once, and described."""

from decimal import Decimal

from inventory.base import checks
from inventory.base.services import service
from inventory.permits import Act, Person
from inventory.suppliers.models import Supplier


@service(Act.GOODS)
def named(*, name: str, by: Person = None) -> Supplier:
    """The supplier of that name, made when new."""
    name = checks.text(name, "The supplier's name", field="supplier", longest=80, needed=True)
    supplier, _ = Supplier.objects.get_or_create(name=name)
    return supplier


@service(Act.GOODS)
def describe(
    *,
    supplier: Supplier,
    note: str,
    carriage: Decimal | None = None,
    carriage_free_from: Decimal | None = None,
    by: Person = None,
) -> Supplier:
    """The note, what an order usually costs to bring, and from which worth of goods it is brought free; none: not known."""
    supplier.note = checks.text(note, "The note", field="note", longest=200)
    if carriage is not None:
        checks.coins(carriage, "The carriage", field="carriage")
    if carriage_free_from is not None:
        what = "The worth from which they bring it free"
        checks.coins(
            checks.positive(carriage_free_from, what, field="carriage_free_from"), what, field="carriage_free_from"
        )
    supplier.carriage, supplier.carriage_free_from = carriage, carriage_free_from
    supplier.save(update_fields=["note", "carriage", "carriage_free_from"])
    return supplier


def named_supplier(name: str, *, by: Person) -> Supplier | None:
    return named(name=name, by=by) if name.strip() else None
