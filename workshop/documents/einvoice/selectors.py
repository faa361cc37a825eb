"""Reads an issued paper as an e-invoice: what was frozen, turned into the terms of EN 16931, and checked.

Papers that were issued before countries were kept have none: the workshop's or the customer's of today serves while the address
is still the one on the paper. The same goes for the seller's business number.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from costing.models import Sale, SaleLine
from costing.sell.payments.transfers import rules as transfers
from costing.sell.sales.exemptions import rules as exemptions
from costing.sell.sales.invoices import selectors as invoices_read
from costing.sell.sales.invoices.rules import NO_TAX_WORDS
from costing.sell.sales.tax import rules as tax
from inventory import money
from inventory.base import checks
from inventory.errors import Refused
from inventory.money import ZERO
from workshop.documents.einvoice import parties, rules
from workshop.documents.einvoice.prices import priced
from workshop.documents.einvoice.rules import UNTAXED, Account, Category, EInvoice, Group, Line, Party, Totals
from workshop.documents.records import invoices
from workshop.documents.words.rules import Words

# UN/ECE Recommendation 20: a piece; what is not counted in pieces is "one".
UNITS = {SaleLine.Kind.ARTICLE: "H87", SaleLine.Kind.SCRAP: "H87"}
_LATER = ("country", "business_number")
ENGLISH = Words()
# Reasons that were chosen from the list, word for word.
LISTED = {
    "reverse_charge": Category.REVERSE,
    "intra_community": Category.WITHIN,
    "export": Category.EXPORT,
    "margin_second_hand": Category.EXEMPT,
    "margin_art": Category.EXEMPT,
    "margin_collectors": Category.EXEMPT,
}
UNREGISTERED = (Category.OUTSIDE, Category.EXEMPT)


def numbered(number: str) -> Sale:
    """The invoice, or credit note of an invoice, of that number; refused for any other paper."""
    sale = Sale.objects.filter(number__iexact=number).order_by("pk").first()
    if sale is None:
        raise Refused(f"There is no invoice {number}. The numbers are under Sales.", field="number")
    return sale


def kinds(sale: Sale) -> tuple[Category, ...]:
    """Which kinds of untaxed supply may be said of it; none where every line says it by itself."""
    if not sale.taxed:
        return UNREGISTERED
    unsaid = sale.lines.filter(tax_percent=0).exclude(kind=SaleLine.Kind.TIP).values_list("relief", flat=True)
    return tuple(UNTAXED) if any(exemptions.key_of(reason) not in LISTED for reason in unsaid) else ()


def einvoice(sale: Sale, *, untaxed: str = "", buyer_reference: str = "", words: Words = ENGLISH) -> EInvoice:
    """The e-invoice of an issued paper. `untaxed`: which of the standard's kinds its lines without tax are (`UNTAXED`).

    Refused where the paper is no invoice, says too little, or does not add up.
    """
    _refuse_others(sale)
    paper = invoices.invoice(sale)
    sign = -1 if sale.credits else 1
    rows = [(row, _line(row, sale, sign, untaxed)) for row in sale.lines.order_by("position")]
    lines = tuple(line for _, line in rows)
    seller, buyer = _parties(sale, {line.category for line in lines})
    totals = _totals(lines, sale, sign, sum((amount for _, amount in paper.settled), ZERO))
    found = EInvoice(
        number=sale.number,
        kind=rules.CREDIT if sale.credits else rules.INVOICE,
        issued_on=sale.issued_on,
        supplied_on=paper.supplied_on,
        currency=sale.currency,
        seller=seller,
        buyer=buyer,
        lines=lines,
        groups=_groups(rows, sale, sign),
        totals=totals,
        due_on=sale.due_on,
        notes=tuple(filter(None, (sale.reason,))),
        terms=_terms(sale, totals.due, words),
        buyer_reference=buyer_reference,
        corrects=paper.corrects,
        corrects_on=paper.corrects_on,
        account=_account(sale) if not sale.credits and totals.due > 0 else None,
        discount_words=words("einvoice.discount"),
        coin=Decimal(1).scaleb(-money.digits(sale.currency)),
    )
    rules.refuse_unsound(found)
    return found


def _parties(sale: Sale, categories: set[Category]) -> tuple[Party, Party]:
    outside = Category.OUTSIDE in categories
    if outside and len(categories) > 1:
        raise Refused(
            "“Not subject to VAT” can only be said of a whole invoice (BR-O-11 to BR-O-14), and this one has other lines. "
            "Choose another kind.",
            field="untaxed",
        )
    said_seller = _filled(sale.seller, invoices_read.seller())
    said_buyer = _filled(sale.buyer, invoices_read.buyer(sale.customer))
    known = bool(categories & {Category.REVERSE, Category.WITHIN})
    return (
        parties.seller(said_seller, taxed=sale.taxed, outside=outside),
        parties.buyer(said_buyer, outside=outside, known=known),
    )


def _totals(lines: tuple[Line, ...], sale: Sale, sign: int, paid: Decimal) -> Totals:
    """As they were frozen, so that a line that is not in them is found."""
    gross = sign * sale.gross
    added = sum((line.net for line in lines), ZERO)
    return Totals(lines=added, net=sign * sale.net, tax=sign * sale.tax, gross=gross, paid=paid, due=gross - paid)


def _terms(sale: Sale, due: Decimal, words: Words) -> str:
    """How to pay; of what is paid nothing, and of a credit note that nothing is to be paid (BR-CO-25 wants words for it)."""
    if sale.credits:
        return words("einvoice.credited", number=sale.credits.number)
    return sale.seller.get("payment_words", "") if due > 0 else ""


def _refuse_others(sale: Sale) -> None:
    if sale.kind == Sale.Kind.OPENING:
        raise Refused(f"{sale.number} is of the old books, and so is its paper.", field="number")
    if (sale.credits or sale).kind == Sale.Kind.SALE:
        raise Refused(
            f"{sale.number} is of a sale over the counter. An e-invoice is made of an invoice, or of a credit note for one.",
            field="number",
        )
    if money.digits(sale.currency) > rules.PLACES:
        raise Refused(
            f"Amounts in {sale.currency} have three decimals, and EN 16931 knows two. Send the paper instead.",
            field="number",
        )


def _filled(frozen: Mapping[str, str], today: Mapping[str, str]) -> dict[str, str]:
    same = frozen.get("address", "") == today.get("address", "")
    return {**frozen, **{name: frozen.get(name) or (today.get(name, "") if same else "") for name in _LATER}}


def _line(row: SaleLine, sale: Sale, sign: int, untaxed: str) -> Line:
    said = invoices_read.line(row, sale)
    price = tax.net_unit_price(said) if sale.prices_with_tax else row.asked
    found = priced(sign * row.quantity, price, sign * row.net, discounted=bool(row.discount))
    category = _category(row, sale, untaxed)
    return Line(
        name=row.words,
        quantity=found.quantity,
        price=found.price,
        net=found.net,
        category=category,
        rate=None if category is Category.OUTSIDE else row.tax_percent,
        allowance=found.allowance,
        unit=UNITS.get(SaleLine.Kind(row.kind), "C62"),
    )


def _category(row: SaleLine, sale: Sale, untaxed: str) -> Category:
    """What kind of supply a line is. A rate says it; no words that somebody typed do, so a person chooses."""
    if untaxed:
        checks.choice(untaxed, list(UNTAXED), "kind of untaxed supply", field="untaxed")
    if not sale.taxed:
        if not untaxed or untaxed in UNREGISTERED:
            return Category(untaxed or Category.OUTSIDE)
        raise Refused(
            "Who is not registered for the tax is outside it (O) or exempt (E); no other kind fits.", field="untaxed"
        )
    if row.tax_percent:
        return Category.STANDARD
    if row.kind == SaleLine.Kind.TIP:
        # Outside the tax by its nature, but the standard lets "not subject" stand on no invoice with other lines.
        return Category.EXEMPT
    if listed := LISTED.get(exemptions.key_of(row.relief)):
        return listed
    if not untaxed:
        kinds = ", ".join(f"{code} ({says})" for code, says in UNTAXED.items())
        raise Refused(
            f"“{row.relief}” says why no tax is charged, but not which kind of untaxed supply it is. Choose one: {kinds}.",
            field="untaxed",
        )
    return Category(untaxed)


def _groups(lines: list[tuple[SaleLine, Line]], sale: Sale, sign: int) -> tuple[Group, ...]:
    """Each category at each rate once, with the tax as it was frozen, the highest rate first."""
    found: dict[tuple[Category, Decimal | None], Group] = {}
    reasons: dict[tuple[Category, Decimal | None], dict[str, None]] = defaultdict(dict)
    for row, line in lines:
        key = line.category, line.rate
        group = found.get(key) or Group(*key, ZERO, ZERO)
        found[key] = replace(group, base=group.base + line.net, tax=group.tax + sign * row.tax)
        if line.category not in (Category.STANDARD, Category.ZERO):
            reasons[key][row.relief if sale.taxed else sale.seller.get("untaxed_words") or NO_TAX_WORDS] = None
    ordered = sorted(found, key=lambda key: (-(key[1] or ZERO), key[0]))
    return tuple(replace(found[key], reason="; ".join(reasons[key])) for key in ordered)


def _account(sale: Sale) -> Account | None:
    """Where it is paid, as it was frozen; where no reference was chosen, the number of the invoice stands beside it."""
    said = {name: str(sale.seller.get(name, "")) for name in ("iban", "bic", "payment_name")}
    if not said["iban"]:
        return None
    reference = transfers.reference(str(sale.seller.get("reference", "")), sale.number) or sale.number
    return Account(said["iban"].replace(" ", ""), said["bic"].replace(" ", ""), said["payment_name"], reference)
