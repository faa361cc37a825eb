"""Issued papers read back as the pure rules mean them: lines, totals by rate, seller and buyer."""

from collections.abc import Iterable
from decimal import Decimal

from costing.sell.customers.models import Customer
from costing.sell.sales.invoices import rules as invoices
from costing.sell.sales.models import Sale, SaleLine
from costing.sell.sales.tax import rules as tax
from costing.sell.sales.terms.selectors import terms
from inventory.base import selectors as workshop
from inventory.money import half_up

# What a paper says of a buyer, and where it is written down.
BUYER = {
    "name": "name",
    "address": "postal_address",
    "country": "country",
    "electronic": "electronic_address",
    "tax_number": "tax_number",
}


def line(row: SaleLine, sale: Sale) -> tax.PaperLine:
    return tax.PaperLine(
        what=row.words,
        quantity=row.quantity,
        unit_price=row.asked,
        rate=row.tax_percent if sale.taxed else None,
        includes_tax=sale.prices_with_tax,
        discount=row.discount,
        relief=row.relief,
    )


def summary(sale: Sale, lines: Iterable[SaleLine] | None = None) -> tax.Summary:
    """The totals of an issued paper by rate, added up from its frozen lines: what it says, to the coin that rounding moved."""
    rows = list(sale.lines.order_by("position") if lines is None else lines)
    places = workshop.places()

    def coins(amount: Decimal) -> Decimal:
        return half_up(amount, places)

    rates = (
        tax.RateTotal(row.tax_percent, coins(row.net), coins(row.tax), coins(row.gross), row.relief) for row in rows
    )
    return tax.Summary(
        tax.mode(sale.taxed),
        tuple(coins(_priced(row, sale)) for row in rows),
        tax.added(rates) if sale.taxed else (),
        coins(sale.net),
        coins(sale.tax) if sale.taxed else None,
        coins(sale.gross),
        sale.rounding,
    )


def uncredited(sale: Sale) -> dict[int, Decimal]:
    """By id of each line that stands: what credits have left of its price, with or without tax as the paper is priced."""
    rows = sale.lines.filter(standing=True).order_by("position").prefetch_related("credit_lines")
    return {row.pk: sum((_priced(each, sale) for each in row.credit_lines.all()), _priced(row, sale)) for row in rows}


def cut_words(row: SaleLine) -> str:
    """What a credit says that takes something off the price of a line."""
    return f"Price cut: {row.words}"[:200]


def _priced(row: SaleLine, sale: Sale) -> Decimal:
    return row.gross if sale.prices_with_tax else row.net


def seller() -> dict[str, str]:
    """The seller as a paper says it from today on, with the words that stand under it: no tax is charged, how to pay."""
    row, own = workshop.current(), terms()
    name = ", ".join(dict.fromkeys(filter(None, (row.maker, row.name))))
    return {
        "name": name,
        "address": row.postal_address,
        "country": row.country,
        "electronic": row.electronic_address,
        "tax_number": own.tax_number,
        "business_number": own.business_number,
        "tax_name": row.tax_name,
        "untaxed_words": "" if own.tax_number else own.untaxed_words,
        "payment_words": own.payment_words,
        "iban": row.iban,
        "bic": row.bic,
        "payment_name": (row.payment_name or row.maker or row.name)[:70] if row.iban else "",
        "reference": row.reference,
    }


def buyer(customer: Customer | None) -> dict[str, str]:
    """The buyer as a paper says it; nobody by name over the counter."""
    return {said: getattr(customer, name) if customer else "" for said, name in BUYER.items()}


def party(frozen: dict[str, str]) -> invoices.Party:
    return invoices.Party(frozen.get("name", ""), frozen.get("address", ""), frozen.get("tax_number", ""))
