"""Issued papers read back as the pure rules mean them: lines, totals by rate, seller and buyer."""

from __future__ import annotations

from collections.abc import Iterable

from costing import documents, tax
from costing.models import Customer, Sale, SaleLine, Terms
from inventory.selectors import workshop

PEOPLE = ("name", "address", "tax_number", "electronic")


def terms() -> Terms:
    """The maker's terms; plain defaults (not saved) while nobody has set them."""
    return Terms.objects.first() or Terms(pk=1)


def mode(row: Terms | Sale) -> tax.Mode:
    """Registered with a tax number; an issued paper stays what it was."""
    taxed = row.taxed if isinstance(row, Sale) else bool(row.tax_number)
    return tax.Mode.REGISTERED if taxed else tax.Mode.NOT_REGISTERED


def line(row: SaleLine, sale: Sale) -> tax.Line:
    return tax.Line(
        what=row.words,
        quantity=row.quantity,
        unit_price=row.asked,
        rate=row.tax_percent if sale.taxed else None,
        includes_tax=sale.prices_with_tax,
        discount=row.discount,
        relief=row.relief,
    )


def summary(sale: Sale, lines: Iterable[SaleLine] | None = None) -> tax.Summary:
    """The totals of an issued paper, worked out anew from its frozen lines: they come to what the paper says."""
    rows = list(sale.lines.order_by("position") if lines is None else lines)
    return tax.summary([line(row, sale) for row in rows], mode(sale), workshop.places())


def seller() -> dict[str, str]:
    """The seller as a paper says it from today on, with the words that stand under it: no tax is charged, how to pay."""
    row, own = workshop.current(), terms()
    name = ", ".join(dict.fromkeys(filter(None, (row.maker, row.name))))
    return {
        "name": name,
        "address": row.postal_address,
        "electronic": row.electronic_address,
        "tax_number": own.tax_number,
        "business_number": own.business_number,
        "untaxed_words": "" if own.tax_number else own.untaxed_words,
        "payment_words": own.payment_words,
    }


def buyer(customer: Customer | None) -> dict[str, str]:
    """The buyer as a paper says it; nobody by name over the counter."""
    if customer is None:
        return dict.fromkeys(PEOPLE, "")
    return {
        "name": customer.name,
        "address": customer.postal_address,
        "electronic": customer.electronic_address,
        "tax_number": customer.tax_number,
    }


def party(frozen: dict[str, str]) -> documents.Party:
    return documents.Party(frozen.get("name", ""), frozen.get("address", ""), frozen.get("tax_number", ""))
