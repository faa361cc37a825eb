"""Papers of a sale from its frozen rows: invoice, credit note, receipt over the counter; and the receipt for a payment.

Seller, buyer, lines and tax are those of the day of issue. What was paid is given as of that day, so that a paper printed again
next year says the same; but one that has been paid since asks nobody to pay it again.
"""

from collections.abc import Iterable
from dataclasses import fields, replace
from decimal import Decimal

from costing.models import Job, Payment, Sale, SaleLine
from costing.sell.payments import rules as payment_rules, selectors as payments
from costing.sell.payments.transfers import rules as transfers
from costing.sell.payments.transfers.rules import Transfer
from costing.sell.sales.exemptions import rules as exemptions
from costing.sell.sales.invoices import rules as invoices, selectors as invoices_read
from costing.sell.sales.tax import rules as tax
from inventory import money
from inventory.base import selectors as workshop
from inventory.base.identifiers.rules import grouped
from inventory.errors import Refused
from workshop.documents.kit import wording
from workshop.documents.kit.flow import ENGLISH
from workshop.documents.kit.letter import Party, Payment as Asked
from workshop.documents.sales.invoice import Invoice, InvoiceLine
from workshop.documents.sales.receipt import Receipt
from workshop.documents.words import selectors as words_read
from workshop.documents.words.rules import Words

ZERO = Decimal(0)
PAPERS = {"invoice": Sale.Kind.INVOICE, "credit": Sale.Kind.CREDIT, "receipt": Sale.Kind.SALE}

_NAMED = {
    Sale.Kind.SALE: "a sale over the counter; its paper is a receipt",
    Sale.Kind.INVOICE: "an invoice",
    Sale.Kind.CREDIT: "a credit note",
}


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


def invoice(sale: Sale, language: str = "") -> Invoice:
    """What a sale's paper says, whatever its kind, out of its frozen rows; in the language asked for, else in the customer's."""
    sale = payments.settled().select_related("customer", "credits").get(pk=sale.pk)
    if sale.kind == Sale.Kind.OPENING:
        raise Refused(f"{sale.number} is of the old books, and so is its paper.", field="number")
    words = words_read.for_customer(sale.customer, language)
    corrected = sale.credits
    settled = () if corrected else _settled(sale, words)
    due = None if corrected else sale.gross - sum((amount for _, amount in settled), ZERO)
    return Invoice(
        kind=sale.kind,
        number=sale.number,
        issued_on=sale.issued_on,
        supplied_on=corrected.on if corrected else sale.on,
        seller=party(sale.seller),
        buyer=party(sale.buyer),
        lines=tuple(_line(row, sale, words) for row in sale.lines.all()),
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
        due=due,
        payment=_payment(sale, due, words),
        notes=() if sale.taxed else (untaxed_words(sale, words),),
        digits=money.digits(sale.currency),
        tax_name=sale.seller.get("tax_name", ""),
        words=words,
    )


def party(frozen: dict[str, str]) -> Party:
    """Seller or buyer as it was frozen."""
    return Party(**{field.name: frozen.get(field.name, "") for field in fields(Party)})


def receipt(payment: Payment, language: str = "") -> Receipt:
    """A receipt for money, with what was still open after it."""
    sale, job = payment.sale, payment.job
    words = words_read.for_customer(payment.customer, language)
    currency = sale.currency if sale else workshop.current().currency
    rate, places = payment.tax_percent, money.digits(currency)
    return Receipt(
        number=payment.number,
        on=payment.on,
        seller=party(payment.seller),
        buyer=party(payment.buyer),
        amount=payment.amount,
        how=wording.opened(words(f"paid_by.{payment.how}")),
        what_for=_what_for(payment, words),
        currency=currency,
        balance=_open_after(payment),
        held=_sum(_upto(job, payment)) if job and payment.amount < 0 else None,
        deposit=job is not None,
        note=payment.note,
        digits=places,
        rate=rate,
        tax=payment_rules.deposit_taxed(payment.amount, rate, places).vat if rate else None,
        tax_name=payment.seller.get("tax_name", ""),
        words=words,
    )


def _line(row: SaleLine, sale: Sale, words: Words) -> InvoiceLine:
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
        exemption=_reason(row.relief, words),
    )


def _reason(relief: str, words: Words) -> str:
    """Why there is no tax; a reason of the list in the words of the paper's language, another as it was written."""
    key = exemptions.key_of(relief)
    return words(f"exemption.{key}") if key else relief


def untaxed_words(sale: Sale, words: Words = ENGLISH) -> str:
    """Why a paper of a seller who is not registered shows no tax."""
    own = sale.seller.get("untaxed_words", "")
    return _reason(own, words) if own not in ("", invoices.NO_TAX_WORDS) else words("invoice.untaxed")


def _payment(sale: Sale, due: Decimal | None, words: Words) -> Asked:
    """Where the balance of an invoice is to be paid, as the seller was on its day."""
    if sale.kind != Sale.Kind.INVOICE or not due or due < 0:
        return Asked()
    if not payments.balance(sale, workshop.today()).left:
        return Asked(settled=True)
    return asked_of(sale.seller, sale, due, words)


def asked_of(seller: dict[str, str], sale: Sale, due: Decimal, words: Words) -> Asked:
    """How a seller asks for the money of an invoice: the account, its reference and the code that asks for just that."""
    kind = seller.get("reference", "")
    reference = transfers.reference(kind, sale.number)
    said = transfers.asked(kind, reference, f"{words('invoice.title.invoice')} {sale.number}")
    code = _code(seller, due, said) if sale.currency == "EUR" else ""
    return replace(account_of(seller), reference=transfers.shown(kind, reference), code=code)


def account_of(seller: dict[str, str]) -> Asked:
    """Where a seller is paid, whatever for."""
    return Asked(
        name=seller.get("payment_name", ""),
        iban=grouped(seller.get("iban", "")),
        bic=seller.get("bic", ""),
        terms=seller.get("payment_words", ""),
    )


def _code(seller: dict[str, str], due: Decimal, said: dict[str, str]) -> str:
    """What a banking app reads; empty where there is no account or a part of it is outside the code's limits."""
    account = seller.get("iban", "")
    try:
        what = Transfer(seller.get("payment_name", ""), account, due, seller.get("bic", ""), **said)
        return transfers.payload(what) if account else ""
    except Refused:
        return ""


def _settled(sale: Sale, words: Words) -> tuple[tuple[str, Decimal], ...]:
    """What was paid or set off by the day of issue, by how; a payment reversed the same day leaves nothing."""
    until = max(sale.issued_on, sale.on)
    found: dict[str, Decimal] = {}
    for each in sorted(payments.settlements(sale), key=lambda each: (each.how != "deposit", each.on)):
        if each.on <= until:
            found[each.how] = found.get(each.how, ZERO) + each.amount
    return tuple((_how(how, amount, words), amount) for how, amount in found.items() if amount)


def _how(how: str, amount: Decimal, words: Words) -> str:
    if how in ("deposit", payments.WITHHELD):
        return words(f"invoice.by.{how}")
    return words(f"invoice.by.{'refunded' if amount < 0 else 'paid'}", how=words(f"paid_by.{how}"))


def _balance(invoice: Sale, note: Sale) -> Decimal:
    """What an invoice comes to with its credits up to this one."""
    notes = Sale.objects.filter(credits=invoice, sequence__lte=note.sequence)
    return invoice.gross + sum(notes.values_list("gross", flat=True), ZERO)


def _what_for(payment: Payment, words: Words) -> str:
    if payment.job is not None:
        job = payment.job
        return words("receipt.deposit_on", job=job.number, work=payment.work, skin=job.skin.tag)
    if payment.sale is None:
        return ""
    things = ", ".join(payment.sale.lines.order_by("position").values_list("words", flat=True))
    return f"{words(f'invoice.title.{payment.sale.kind}')} {payment.sale.number}: {things}"


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
