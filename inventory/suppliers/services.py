"""Suppliers: made by name, once."""

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
def note(*, supplier: Supplier, text: str, by: Person = None) -> Supplier:
    supplier.note = checks.text(text, "The note", field="note", longest=200)
    supplier.save(update_fields=["note"])
    return supplier


def named_supplier(name: str, *, by: Person) -> Supplier | None:
    return named(name=name, by=by) if name.strip() else None
