"""Customers: whom the workshop sells to and works for. A name may change; papers keep what they said."""

from __future__ import annotations

from django.db import transaction

from costing.models import Customer
from inventory.errors import Taken
from inventory.services import checks, requests
from inventory.services.permits import Act, Person, require


@transaction.atomic
def write(
    *,
    name: str,
    postal_address: str = "",
    electronic_address: str = "",
    tax_number: str = "",
    note: str = "",
    customer: Customer | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Customer:
    """A new customer, or one described anew. Papers that are issued keep the name and address they were made out to."""
    require(by, Act.GOODS)
    if done := requests.earlier(request_key, Customer):
        return done
    name = checks.text(name, "The name", field="name", longest=80, needed=True)
    row = customer or Customer()
    if Customer.objects.filter(name__iexact=name).exclude(pk=row.pk).exists():
        raise Taken("The customer", name, field="name")
    row.name = name
    row.postal_address = checks.text(postal_address, "The address", field="postal_address", longest=200)
    row.electronic_address = checks.text(
        electronic_address, "The electronic address", field="electronic_address", longest=120
    )
    row.tax_number = checks.text(tax_number, "The tax number", field="tax_number", longest=40)
    row.note = checks.text(note, "The note", field="note", longest=200)
    row.save()
    return requests.keep(request_key, row)
