"""Owns the receipt for money: a payment of an invoice, or a deposit before the work is done. Must not work out a balance."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper

DEPOSIT = "A deposit stays yours until the work is handed over; it is then set off against the price."


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


def render(receipt: Receipt, size: Paper = A4) -> bytes:
    """The receipt as PDF."""
    refund = receipt.amount < 0
    facts = [
        ("Number", receipt.number),
        ("Refund date" if refund else "Payment date", wording.day(receipt.on)),
        ("Paid by", receipt.how),
        ("For", receipt.what_for),
        ("Note", receipt.note),
    ]
    title = "Refund receipt" if refund else "Receipt"
    story = [
        letter.head(title, receipt.seller, receipt.buyer, facts, to="Paid to" if refund else "Received from"),
        _sum(receipt, "Refunded" if refund else "Received", abs(receipt.amount), before=6 * mm),
    ]
    if receipt.tax and receipt.rate:
        label = f"{wording.opened(receipt.tax_name or 'tax')} in it at {wording.number(receipt.rate)} %"
        story.append(_sum(receipt, label, abs(receipt.tax), bold=False))
    if receipt.balance is not None:
        label = "Overpaid" if receipt.balance < 0 else "Balance due after this payment"
        story.append(_sum(receipt, label, abs(receipt.balance), bold=False))
    if receipt.held:
        story.append(_sum(receipt, "Deposit still held", receipt.held, bold=False))
    if receipt.deposit and (receipt.held or not refund):
        story.append(flow.words(DEPOSIT, before=6 * mm))
    story.append(flow.blanks("Received by", "Date", tall=22 * mm))
    foot = f"{receipt.seller.name} · {title} {receipt.number} · {wording.day(receipt.on)}"
    return flow.document(
        story, size, title=f"{title} {receipt.number}", author=receipt.seller.name, foot=foot, day=receipt.on
    )


def _sum(receipt: Receipt, label: str, amount: Decimal, *, bold: bool = True, before: float = 1 * mm) -> object:
    row = (f"{label}, {receipt.currency}", wording.number(amount, receipt.digits))
    return flow.sums([row], bold=bold, before=before)
