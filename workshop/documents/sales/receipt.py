"""Owns the receipt for money: a payment of an invoice, or a deposit before the work is done. Must not work out a balance."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.sales.invoice import tax_word
from workshop.documents.words.rules import Words


@dataclass(frozen=True)
class Receipt:
    """Money received, or refunded where `amount` is negative. `balance` is what was due after it, None where unknown.

    `held` is what is still held of a deposit after a part of it was refunded. `tax` is what of the amount is tax that fell due
    with it, at `rate` percent; None where none did.
    """

    number: str
    on: date
    seller: Party
    buyer: Party
    amount: Decimal
    how: str
    what_for: str
    currency: str
    balance: Decimal | None = None
    held: Decimal | None = None
    deposit: bool = False
    note: str = ""
    digits: int = 2
    rate: Decimal | None = None
    tax: Decimal | None = None
    tax_name: str = ""
    words: Words = flow.ENGLISH


def render(receipt: Receipt, size: Paper = A4) -> bytes:
    """The receipt as PDF."""
    refund, words = receipt.amount < 0, receipt.words
    kind = "refund" if refund else "payment"
    facts = [
        (words("invoice.number"), receipt.number),
        (words(f"receipt.date.{kind}"), words.day(receipt.on)),
        (words("receipt.paid_by"), receipt.how),
        (words("receipt.what_for"), receipt.what_for),
        (words("receipt.note"), receipt.note),
    ]
    title = words(f"receipt.title.{kind}")
    story = [
        letter.head(title, receipt.seller, receipt.buyer, facts, to=words(f"receipt.whom.{kind}"), words=words),
        _sum(receipt, words(f"receipt.sum.{kind}"), abs(receipt.amount), before=6 * mm),
    ]
    if receipt.tax and receipt.rate:
        rate = wording.number(receipt.rate)
        label = words("receipt.tax_in_it", tax=tax_word(receipt.tax_name, words), rate=rate)
        story.append(_sum(receipt, label, abs(receipt.tax), bold=False))
    if receipt.balance is not None:
        label = words("invoice.overpaid" if receipt.balance < 0 else "receipt.balance")
        story.append(_sum(receipt, label, abs(receipt.balance), bold=False))
    if receipt.held:
        story.append(_sum(receipt, words("receipt.held"), receipt.held, bold=False))
    if receipt.deposit and (receipt.held or not refund):
        story.append(flow.words(words("receipt.deposit"), before=6 * mm))
    story.append(flow.blanks(words("receipt.received_by"), words("receipt.day"), tall=22 * mm))
    foot = f"{receipt.seller.name} · {title} {receipt.number} · {words.day(receipt.on)}"
    named = f"{title} {receipt.number}"
    return flow.document(story, size, title=named, author=receipt.seller.name, foot=foot, day=receipt.on, words=words)


def _sum(receipt: Receipt, label: str, amount: Decimal, *, bold: bool = True, before: float = 1 * mm) -> object:
    row = (f"{label}, {receipt.currency}", wording.number(amount, receipt.digits))
    return flow.sums([row], bold=bold, before=before)
