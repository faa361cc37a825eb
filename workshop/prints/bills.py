"""Papers of a sale from its frozen rows: invoice, credit note, receipt over the counter; and the receipt for a payment.

Seller, buyer, lines and tax are those of the day of issue. What was paid is told as of that day, so that a paper printed again
next year says the same.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import TYPE_CHECKING

from django.db.models import QuerySet

from costing.models import Job, Payment, Sale, SaleLine
from costing.sell.payments import selectors as moneys
from costing.sell.sales.invoices import rules as documents
from costing.sell.sales.invoices import selectors as papers
from costing.sell.sales.tax import rules as tax
from inventory import money
from inventory.base import selectors as workshop
from inventory.errors import Refused
from workshop.prints.sizes import page_of

if TYPE_CHECKING:
    from workshop.papers.bill import Bill, BillLine
    from workshop.papers.letter import Who
    from workshop.papers.received import Received


NOTHING = Decimal(0)


INVOICE, CREDIT, RECEIPT = "invoice", "credit", "receipt"


BILLS = (INVOICE, CREDIT, RECEIPT)


TITLES = {Sale.Kind.SALE: "Receipt", Sale.Kind.INVOICE: "Invoice", Sale.Kind.CREDIT: "Credit note"}


_KINDS = {INVOICE: Sale.Kind.INVOICE, CREDIT: Sale.Kind.CREDIT, RECEIPT: Sale.Kind.SALE}


_OF_KIND = {kind.value: paper for paper, kind in _KINDS.items()}


_SETTLED = {"deposit": "Deposit", "withheld": "Kept back as the selling fee"}


def bill_pdf(paper: str, number: str, sheet: str = "") -> bytes:
    """An invoice, a credit note or a receipt by its number; a receipt is of a sale over the counter or of a payment."""
    if paper not in BILLS:
        raise Refused(f"There is no paper {paper!r}; choose one of {', '.join(BILLS)}.", field="paper")
    sale = _rows().filter(number__iexact=number).order_by("pk").first()
    if sale is None and paper == RECEIPT and (payment := _payment(number)) is not None:
        return payment_pdf(payment, sheet)
    if sale is None:
        raise Refused(_unknown(paper, number), field="number")
    if _KINDS[paper] != sale.kind:
        raise Refused(
            f"{sale.number} is {_a(sale)}. Print it by `paper {_OF_KIND[sale.kind]} {sale.number}`.", field="paper"
        )
    return sale_pdf(sale, sheet)


def sale_pdf(sale: Sale, sheet: str = "") -> bytes:
    """The paper of a sale, whatever its kind."""
    from workshop.papers import bill as paper

    return paper.render(bill(sale), page_of(sheet))


def payment_pdf(payment: Payment, sheet: str = "") -> bytes:
    from workshop.papers import received as paper

    return paper.render(received(payment), page_of(sheet))


def bill(sale: Sale) -> Bill:
    """What a sale's paper says, out of its frozen rows."""
    from workshop.papers.bill import Bill

    sale = _rows().get(pk=sale.pk)
    corrected = sale.credits
    settled = () if corrected else _settled(sale)
    return Bill(
        title=TITLES[Sale.Kind(sale.kind)],
        number=sale.number,
        issued_on=sale.issued_on,
        supplied_on=corrected.on if corrected else sale.on,
        seller=who(sale.seller),
        buyer=who(sale.buyer),
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
        left=_left(corrected, sale) if corrected else None,
        settled=settled,
        to_pay=None if corrected else sale.gross - sum((amount for _, amount in settled), NOTHING),
        words=_words(sale),
        digits=money.digits(sale.currency),
    )


def who(frozen: dict[str, str]) -> Who:
    """Seller or buyer as it was frozen."""
    from workshop.papers.letter import Who

    parts = ("name", "address", "electronic", "tax_number", "business_number")
    return Who(**{part: frozen.get(part, "") for part in parts})


def received(payment: Payment) -> Received:
    """A receipt for money, with what was still open after it."""
    from workshop.papers.received import Received

    sale, job = payment.sale, payment.job
    currency = sale.currency if sale else workshop.current().currency
    return Received(
        number=payment.number,
        on=payment.on,
        seller=who(payment.seller),
        buyer=who(payment.buyer),
        amount=payment.amount,
        how=payment.get_how_display(),
        what_for=_what_for(payment),
        currency=currency,
        left=_open_after(payment),
        held=_sum(_upto(job, payment)) if job and payment.amount < 0 else None,
        deposit=job is not None,
        note=payment.note,
        digits=money.digits(currency),
    )


def _rows() -> QuerySet[Sale]:
    return moneys.settled().select_related("customer", "credits")


def _payment(number: str) -> Payment | None:
    return Payment.objects.filter(number__iexact=number).order_by("pk").first()


def _unknown(paper: str, number: str) -> str:
    where = "Sales" if paper != RECEIPT else "Sales, and payments under Sales, Money in"
    return f"There is no {paper} {number}. The numbers stand in the room {where}."


def _a(sale: Sale) -> str:
    return {
        Sale.Kind.SALE: "a sale over the counter; its paper is a receipt",
        Sale.Kind.INVOICE: "an invoice",
        Sale.Kind.CREDIT: "a credit note",
    }[Sale.Kind(sale.kind)]


def _line(row: SaleLine, sale: Sale) -> BillLine:
    from workshop.papers.bill import BillLine

    return BillLine(
        what=row.words,
        quantity=row.quantity,
        price=row.asked,
        net=row.net,
        tax=row.tax,
        gross=row.gross,
        discount=row.discount,
        rate=row.tax_percent if sale.taxed else None,
        net_price=tax.net_unit_price(papers.line(row, sale)),
        relief=row.relief,
    )


def _words(sale: Sale) -> tuple[str, ...]:
    said = [] if sale.taxed else [sale.seller.get("untaxed_words") or documents.NO_TAX_WORDS]
    if sale.kind == Sale.Kind.INVOICE:
        said.append(sale.seller.get("payment_words", ""))
    return tuple(words for words in said if words)


def _settled(sale: Sale) -> tuple[tuple[str, Decimal], ...]:
    """What was paid or set off by the day of issue, by how; a payment taken back the same day leaves nothing."""
    until = max(sale.issued_on, sale.on)
    found: dict[str, Decimal] = {}
    for each in sorted(moneys.settlements(sale), key=lambda each: (each.how != "deposit", each.on)):
        if each.on <= until:
            found[each.how] = found.get(each.how, NOTHING) + each.amount
    return tuple((_how(how, amount), amount) for how, amount in found.items() if amount)


def _how(how: str, amount: Decimal) -> str:
    if how in _SETTLED:
        return _SETTLED[how]
    return f"{'Paid back' if amount < 0 else 'Paid'}, {Payment.How(how).label.lower()}"


def _left(invoice: Sale, note: Sale) -> Decimal:
    """What an invoice comes to with its credits up to this one."""
    notes = Sale.objects.filter(credits=invoice, sequence__lte=note.sequence)
    return invoice.gross + sum(notes.values_list("gross", flat=True), NOTHING)


def _what_for(payment: Payment) -> str:
    if payment.job is not None:
        return f"Deposit on {payment.job.number}: {payment.work}, skin {payment.job.skin.tag}"
    if payment.sale is None:
        return ""
    things = ", ".join(payment.sale.lines.order_by("position").values_list("words", flat=True))
    return f"{TITLES[Sale.Kind(payment.sale.kind)]} {payment.sale.number}: {things}"


def _open_after(payment: Payment) -> Decimal | None:
    """What was left of the sale, or of the job's price, once this money had come; what came or was credited later is left out."""
    if payment.job is not None:
        # Paid back, it may be because the job ends here: what would be left to pay is not for this paper to say.
        if payment.amount < 0 or payment.agreed is None:
            return None
        return payment.agreed - _sum(_upto(payment.job, payment))
    if payment.sale is None:
        return None
    sale = moneys.settled().get(pk=payment.sale.pk)
    later = sale.payments.filter(pk__gt=payment.pk, on__lte=payment.on)
    credited = sale.credited_by.filter(written_at__gt=payment.written_at, on__lte=payment.on)
    stood = moneys.balance(sale, payment.on)
    after = _sum(later.values_list("amount", flat=True)) - _sum(credited.values_list("gross", flat=True))
    return stood.left - stood.overpaid + after


def _upto(job: Job, payment: Payment) -> Iterable[Decimal]:
    return job.payments.filter(pk__lte=payment.pk).values_list("amount", flat=True)


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, NOTHING)
