"""Customers: whom the workshop sells to and works for. A name may change; papers keep what they said."""

from django.db import IntegrityError, transaction

from costing.make.errors import some
from costing.sell.customers.models import Customer
from inventory.base import checks, languages, locales
from inventory.base.services import service
from inventory.errors import Refused, Taken
from inventory.permits import Act, Person


@service(Act.GOODS, makes=Customer)
def write(
    *,
    name: str,
    postal_address: str = "",
    country: str = "",
    electronic_address: str = "",
    tax_number: str = "",
    relief: str = "",
    language: str = "",
    note: str = "",
    customer: Customer | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Customer:
    """A new customer, or one described again. Papers that are issued keep the name and address they were made out to.

    `relief`: why no tax is charged to them; each sale to them then says so, unless it says otherwise. `language`: in what
    words their papers are printed; empty: the workshop's.
    """
    name = checks.text(name, "The name", field="name", longest=80, needed=True)
    row = customer or Customer()
    if customer is not None:
        row.refresh_from_db(from_queryset=Customer.objects.select_for_update())
    if Customer.objects.filter(name__iexact=name).exclude(pk=row.pk).exists():
        raise Taken("The customer", name, field="name")
    row.name = name
    row.postal_address = checks.text(postal_address, "The address", field="postal_address", longest=200)
    row.country = locales.country(country)
    row.electronic_address = checks.text(
        electronic_address, "The electronic address", field="electronic_address", longest=120
    )
    row.tax_number = checks.text(tax_number, "The tax number", field="tax_number", longest=40)
    row.relief = checks.text(relief, "The reason", field="relief", longest=120)
    row.language = language and languages.known(language)
    row.note = checks.text(note, "The note", field="note", longest=200)
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:
        # Somebody else wrote the same name down since it was looked for.
        raise Taken("The customer", name, field="name") from None
    return row


@service(Act.GOODS)
def named(*, name: str, postal_address: str = "", electronic_address: str = "", by: Person = None) -> Customer:
    """The customer of that name, however it is spelled in capitals; made when new. What is given fills in or replaces."""
    given = checks.text(name, "The name", field="name", longest=80, needed=True)
    row = Customer.objects.filter(name__iexact=given).order_by("pk").first()
    kept = row or Customer(name=given)
    return write(
        name=kept.name,
        postal_address=postal_address or kept.postal_address,
        electronic_address=electronic_address or kept.electronic_address,
        country=kept.country,
        tax_number=kept.tax_number,
        relief=kept.relief,
        language=kept.language,
        note=kept.note,
        customer=row,
        by=by,
    )


@service(Act.GOODS)
def remove(*, customer: Customer, by: Person = None) -> None:
    """Forget a customer who has no papers. One with papers stays: what was issued has to be kept, with whom it names."""
    row = Customer.objects.select_for_update().filter(pk=customer.pk).first()
    if row is None:
        return
    kept = papers_of(row)
    if kept:
        raise Refused(
            f"{row.name} is named on {kept}. Papers have to be kept as they were issued, so the name stays with them. "
            "Ask your tax office how long that is. Address and note can be emptied."
        )
    row.delete()


def papers_of(customer: Customer) -> str:
    """What names the customer, in words: "INV-001, J-01 and 2 more"; empty when nothing does."""
    papers = [
        *customer.jobs.order_by("taken_on", "pk").values_list("number", flat=True),
        *customer.sales.order_by("on", "pk").values_list("number", flat=True),
        *customer.payments.order_by("on", "pk").values_list("number", flat=True),
    ]
    return some(papers, named=3)
