"""Papers of a sale from its frozen rows: invoice, credit note, receipt over the counter; and the receipt for a payment.

Seller, buyer, lines and tax are those of the day of issue. What was paid is given as of that day, so that a paper printed again
next year says the same.
"""

from collections.abc import Iterable
from dataclasses import fields
from decimal import Decimal

from costing.models import Job, Payment, Sale, SaleLine
from costing.sell.payments import rules as payment_rules, selectors as payments
from costing.sell.sales.invoices import rules as invoices, selectors as invoices_read
from costing.sell.sales.tax import rules as tax
from inventory import money
from inventory.base import selectors as workshop
from inventory.errors import Refused
from workshop.documents.kit.letter import Party
from workshop.documents.sales.invoice import Invoice, InvoiceLine
from workshop.documents.sales.receipt import Receipt

ZERO = Decimal(0)
TITLES = {Sale.Kind.SALE: "Receipt", Sale.Kind.INVOICE: "Invoice", Sale.Kind.CREDIT: "Credit note"}
PAPERS = {"invoice": Sale.Kind.INVOICE, "credit": Sale.Kind.CREDIT, "receipt": Sale.Kind.SALE}

_NAMED = {
    Sale.Kind.SALE: "a sale over the counter; its paper is a receipt",
    Sale.Kind.INVOICE: "an invoice",
    Sale.Kind.CREDIT: "a credit note",
}

_SETTLED = {"deposit": "Deposit", "withheld": "Fee deducted before payout"}


def numbered(paper: str, number: str) -> Sale | Payment:
    """What an invoice, a credit note or a receipt is printed of; a receipt is of a sale over the counter or of a payment."""
    if paper not in PAPERS:
        raise Refused(f"There is no paper {paper!r}; choose one of {', '.join(PAPERS)}.", field="paper")
    sale = Sale.objects.filter(number__iexact=number).order_by("pk").first()
    if sale is None:
        payment = Payment.objects.filter(number__iexact=number).order_by("pk").first() if paper == "receipt" else None
        if payment is None:
            where = "Sales, and of payments under Payments" if paper == "receipt" else "Sales"
            raise Refused(f"There is no {paper} {number}. The numbers are under {where}.", field="number")
        return payment
    if sale.kind == Sale.Kind.OPENING:
        raise Refused(f"{sale.number} is of the old books, and so is its paper.", field="number")
    if PAPERS[paper] != sale.kind:
        right = next(name for name, kind in PAPERS.items() if kind == sale.kind)
        raise Refused(
            f"{sale.number} is {_NAMED[Sale.Kind(sale.kind)]}. Print it by `paper {right} {sale.number}`.",
            field="paper",
        )
    return sale


def invoice(sale: Sale) -> Invoice:
    """What a sale's paper says, whatever its kind, out of its frozen rows."""
    sale = payments.settled().select_related("customer", "credits").get(pk=sale.pk)
    if sale.kind == Sale.Kind.OPENING:
        raise Refused(f"{sale.number} is of the old books, and so is its paper.", field="number")
    corrected = sale.credits
    settled = () if corrected else _settled(sale)
    return Invoice(
        title=TITLES[Sale.Kind(sale.kind)],
        number=sale.number,
        issued_on=sale.issued_on,
        supplied_on=corrected.on if corrected else sale.on,
        seller=party(sale.seller),
        buyer=party(sale.buyer),
        lines=tuple(_line(row, sale) for row in sale.lines.all()),
        net=sale.net,
        tax=sale.tax,
        gross=sale.gross,
        currency=sale.currency,
        taxed=sale.taxed,
        prices_with_tax=sale.prices_with_tax,
        due_on=sale.due_on,
        corrects=corrected.number if corrected else "",
        corrects_on=corrected.issued_on if corrected else None,
        reason=sale.reason,
        balance=_balance(corrected, sale) if corrected else None,
        settled=settled,
        due=None if corrected else sale.gross - sum((amount for _, amount in settled), ZERO),
        notes=_notes(sale),
        digits=money.digits(sale.currency),
        tax_name=sale.seller.get("tax_name", ""),
    )


def party(frozen: dict[str, str]) -> Party:
    """Seller or buyer as it was frozen."""
    return Party(**{field.name: frozen.get(field.name, "") for field in fields(Party)})


def receipt(payment: Payment) -> Receipt:
    """A receipt for money, with what was still open after it."""
    sale, job = payment.sale, payment.job
    currency = sale.currency if sale else workshop.current().currency
    rate, places = payment.tax_percent, money.digits(currency)
    return Receipt(
        number=payment.number,
        on=payment.on,
        seller=party(payment.seller),
        buyer=party(payment.buyer),
        amount=payment.amount,
        how=payment.get_how_display(),
        what_for=_what_for(payment),
        currency=currency,
        balance=_open_after(payment),
        held=_sum(_upto(job, payment)) if job and payment.amount < 0 else None,
        deposit=job is not None,
        note=payment.note,
        digits=places,
        rate=rate,
        tax=payment_rules.deposit_taxed(payment.amount, rate, places).vat if rate else None,
        tax_name=payment.seller.get("tax_name", ""),
    )


def _line(row: SaleLine, sale: Sale) -> InvoiceLine:
    return InvoiceLine(
        description=row.words,
        quantity=row.quantity,
        price=row.asked,
        net=row.net,
        tax=row.tax,
        gross=row.gross,
        discount=row.discount,
        rate=row.tax_percent if sale.taxed else None,
        net_price=tax.net_unit_price(invoices_read.line(row, sale)),
        exemption=row.relief,
    )


def _notes(sale: Sale) -> tuple[str, ...]:
    untaxed = "" if sale.taxed else sale.seller.get("untaxed_words") or invoices.NO_TAX_WORDS
    terms = sale.seller.get("payment_words", "") if sale.kind == Sale.Kind.INVOICE else ""
    return tuple(filter(None, (untaxed, terms)))


def _settled(sale: Sale) -> tuple[tuple[str, Decimal], ...]:
    """What was paid or set off by the day of issue, by how; a payment reversed the same day leaves nothing."""
    until = max(sale.issued_on, sale.on)
    found: dict[str, Decimal] = {}
    for each in sorted(payments.settlements(sale), key=lambda each: (each.how != "deposit", each.on)):
        if each.on <= until:
            found[each.how] = found.get(each.how, ZERO) + each.amount
    return tuple((_how(how, amount), amount) for how, amount in found.items() if amount)


def _how(how: str, amount: Decimal) -> str:
    if how in _SETTLED:
        return _SETTLED[how]
    return f"{'Refunded' if amount < 0 else 'Paid'}, {Payment.How(how).label.lower()}"


def _balance(invoice: Sale, note: Sale) -> Decimal:
    """What an invoice comes to with its credits up to this one."""
    notes = Sale.objects.filter(credits=invoice, sequence__lte=note.sequence)
    return invoice.gross + sum(notes.values_list("gross", flat=True), ZERO)


def _what_for(payment: Payment) -> str:
    if payment.job is not None:
        return f"Deposit on {payment.job.number}: {payment.work}, skin {payment.job.skin.tag}"
    if payment.sale is None:
        return ""
    things = ", ".join(payment.sale.lines.order_by("position").values_list("words", flat=True))
    return f"{TITLES[Sale.Kind(payment.sale.kind)]} {payment.sale.number}: {things}"


def _open_after(payment: Payment) -> Decimal | None:
    """What was due of the sale, or of the job's price, once this money had come. What happened later is left out."""
    if payment.job is not None:
        # Paid back, it may be because the job ends here: what would be left to pay is not for this paper to say.
        if payment.amount < 0 or payment.agreed is None:
            return None
        return payment.agreed - _sum(_upto(payment.job, payment))
    if payment.sale is None:
        return None
    sale = payments.settled().get(pk=payment.sale.pk)
    later = sale.payments.filter(pk__gt=payment.pk, on__lte=payment.on)
    credited = sale.credited_by.filter(written_at__gt=payment.written_at, on__lte=payment.on)
    lost = sale.write_offs.filter(written_at__gt=payment.written_at, on__lte=payment.on)
    balance = payments.balance(sale, payment.on)
    after = _sum(later.values_list("amount", flat=True)) - _sum(credited.values_list("gross", flat=True))
    return balance.left - balance.overpaid + after + _sum(lost.values_list("amount", flat=True))


def _upto(job: Job, payment: Payment) -> Iterable[Decimal]:
    return job.payments.filter(pk__lte=payment.pk).values_list("amount", flat=True)


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, ZERO)
