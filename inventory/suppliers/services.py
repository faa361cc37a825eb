"""Suppliers: made by name, once."""

from __future__ import annotations

from django.db import transaction

from inventory.base import checks
from inventory.permits import Act, Person, require
from inventory.suppliers.models import Supplier


@transaction.atomic
def named(*, name: str, by: Person = None) -> Supplier:
    """The supplier of that name, made when new."""
    require(by, Act.GOODS)
    name = checks.text(name, "The supplier's name", field="supplier", longest=80, needed=True)
    supplier, _ = Supplier.objects.get_or_create(name=name)
    return supplier


@transaction.atomic
def note(*, supplier: Supplier, text: str, by: Person = None) -> Supplier:
    require(by, Act.GOODS)
    supplier.note = checks.text(text, "The note", field="note", longest=200)
    supplier.save(update_fields=["note"])
    return supplier


def named_supplier(name: str, *, by: Person) -> Supplier | None:
    return named(name=name, by=by) if name.strip() else None
