"""The semantic invoice of EN 16931-1: its business terms (BT-), their groups, and whether its figures hold together.

Owns the shape and the sums. Must not know a record, a syntax or a page. Amounts of a credit note are positive, as its type
code 381 already says which way they go. Rules are named as the standard's own validation names them (BR-…); that of a line is
stricter: the published rules do not work a line out.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from inventory.base.locales import EU
from inventory.errors import Refused
from inventory.money import ZERO, half_up

PLACES = 2  # BR-DEC-*: no amount has more; a unit price may
ONE, CENT = Decimal(1), Decimal("0.01")
INVOICE, CREDIT = "380", "381"  # UNTDID 1001
DISCOUNT = "95"  # UNTDID 5189
SEPA, TRANSFER = "58", "30"  # UNTDID 4461

# Where value-added tax is charged as the standard knows it: the Union and the other members of CEN, whose standard it is (from
# memory), with Liechtenstein.
VAT_COUNTRIES = EU | {"CH", "GB", "IS", "LI", "MK", "NO", "RS", "TR"}


class Category(StrEnum):
    """Codes of UNTDID 5305 that a line may bear here."""

    STANDARD = "S"
    ZERO = "Z"
    EXEMPT = "E"
    REVERSE = "AE"
    WITHIN = "K"
    EXPORT = "G"
    OUTSIDE = "O"


# Those without tax, as a person chooses among them.
UNTAXED = {
    Category.EXEMPT: "Exempt from VAT",
    Category.REVERSE: "Reverse charge",
    Category.WITHIN: "Supply to another EU country",
    Category.EXPORT: "Export out of the EU",
    Category.ZERO: "Zero-rated",
    Category.OUTSIDE: "Not subject to VAT",
}

# The code list VATEX names these; an exemption has its own reason in words only.
REASON_CODES = {
    Category.REVERSE: "VATEX-EU-AE",
    Category.WITHIN: "VATEX-EU-IC",
    Category.EXPORT: "VATEX-EU-G",
    Category.OUTSIDE: "VATEX-EU-O",
}


@dataclass(frozen=True)
class Party:
    """Seller (BG-4) or buyer (BG-7). `vat_id` with its country letters; `tax_id` another number for the tax (BT-32).

    `legal_id` is of a register (BT-30, BT-47), `own_id` any other (BT-29, BT-46). At most three lines of address.
    """

    name: str
    address: tuple[str, ...]
    country: str
    vat_id: str = ""
    tax_id: str = ""
    legal_id: str = ""
    own_id: str = ""
    mail: str = ""


@dataclass(frozen=True)
class Line:
    """BG-25. `price` of one without tax (BT-146), `allowance` off the line (BT-136), `net` what it comes to (BT-131).

    `rate` in percent; None where the line is not subject to the tax.
    """

    name: str
    quantity: Decimal
    price: Decimal
    net: Decimal
    category: Category
    rate: Decimal | None
    allowance: Decimal = ZERO
    unit: str = "C62"


@dataclass(frozen=True)
class Group:
    """BG-23: all that one category comes to at one rate."""

    category: Category
    rate: Decimal | None
    base: Decimal
    tax: Decimal
    reason: str = ""


@dataclass(frozen=True)
class Totals:
    """BG-22: BT-106, BT-109, BT-110, BT-112, BT-113, BT-115. Allowances and charges stand on lines only."""

    lines: Decimal
    net: Decimal
    tax: Decimal
    gross: Decimal
    paid: Decimal
    due: Decimal


@dataclass(frozen=True)
class Account:
    """BG-16 and BG-17: where to send the money, whose account it is (BT-85), and what to write beside it (BT-83)."""

    iban: str
    bic: str = ""
    name: str = ""
    reference: str = ""


@dataclass(frozen=True)
class EInvoice:
    """One invoice or credit note. `corrects` is the invoice that a credit note takes back, with its day (BT-25, BT-26); `coin` the
    smallest of the currency."""

    number: str
    kind: str
    issued_on: date
    supplied_on: date
    currency: str
    seller: Party
    buyer: Party
    lines: tuple[Line, ...]
    groups: tuple[Group, ...]
    totals: Totals
    due_on: date | None = None
    notes: tuple[str, ...] = ()
    terms: str = ""
    buyer_reference: str = ""
    corrects: str = ""
    corrects_on: date | None = None
    account: Account | None = None
    discount_words: str = "Discount"
    coin: Decimal = CENT

    @property
    def means(self) -> str:
        """How to pay into the account (BT-81): SEPA's transfer is in euros only."""
        return SEPA if self.currency == "EUR" else TRANSFER

    @property
    def crosses(self) -> bool:
        """Whether it says where the goods went, as a supply within the Union must (BR-IC-12)."""
        return any(group.category is Category.WITHIN for group in self.groups)


def refuse_unsound(invoice: EInvoice) -> None:
    """Refuse one whose figures do not hold together; the first fault is named. Nothing is put right by silence."""
    for fault in faults(invoice):
        raise Refused(
            f"{invoice.number} cannot be an e-invoice: {fault} Nothing was written; check the books under Books.",
            field="number",
        )


def faults(invoice: EInvoice) -> Iterator[str]:
    """What is wrong with its figures, by rule; nothing where all is well."""
    yield from _lines(invoice)
    totals, groups = invoice.totals, invoice.groups
    sums = (
        ("BR-CO-10: the lines", sum((line.net for line in invoice.lines), ZERO), totals.lines),
        ("BR-CO-13: the net total", totals.lines, totals.net),
        ("the taxable amounts", sum((group.base for group in groups), ZERO), totals.net),
        ("BR-CO-14: the tax", sum((group.tax for group in groups), ZERO), totals.tax),
        ("BR-CO-15: the total", totals.net + totals.tax, totals.gross),
        ("BR-CO-16: the amount due", totals.gross - totals.paid, totals.due),
    )
    for what, worked_out, said in sums:
        if worked_out != said:
            yield f"{what} come to {worked_out}, and it says {said}."
    yield from _groups(invoice)
    for amount in (*vars(totals).values(), *(group.base for group in groups), *(group.tax for group in groups)):
        if amount != half_up(amount, PLACES):
            yield f"BR-DEC: {amount} has more than two decimals, which the standard does not know."


def _lines(invoice: EInvoice) -> Iterator[str]:
    if not invoice.lines:
        yield "BR-16: it has no line."
    for at, line in enumerate(invoice.lines, start=1):
        worked_out = half_up(line.quantity * line.price, PLACES) - line.allowance
        if worked_out != line.net:
            yield f"line {at} comes to {worked_out} by quantity, price and discount, and says {line.net}."
        if line.price < 0:
            yield f"BR-27: the price on line {at} is below nothing."


def _groups(invoice: EInvoice) -> Iterator[str]:
    keys = [(group.category, group.rate) for group in invoice.groups]
    if sorted(map(str, keys)) != sorted(map(str, {(line.category, line.rate) for line in invoice.lines})):
        yield "each kind of tax on its lines wants one sum of its own."
    for group in invoice.groups:
        mine = [line.net for line in invoice.lines if (line.category, line.rate) == (group.category, group.rate)]
        if sum(mine, ZERO) != group.base:
            yield f"BR-{group.category}-08: its lines come to {sum(mine, ZERO)}, and the tax is of {group.base}."
        rate = group.rate or ZERO
        if (group.category is Category.STANDARD) != bool(rate):
            yield f"BR-{group.category}-05: a rate of {rate} % is none of its kind."
        if abs(group.base * rate / 100 - group.tax) > _leeway(invoice, rate, len(mine)):
            yield f"BR-CO-17: a tax of {group.tax} is too far from {group.base} at {rate} %."


def _leeway(invoice: EInvoice, rate: Decimal, lines: int) -> Decimal:
    """How far a frozen tax may lie from base × rate: a coin for each line, as it may have been rounded line by line.

    What a last credit leaves over has gathered the coins of those before it, so only the published bound holds for it: the
    validation of EN 16931 takes any difference below one unit of the currency.
    """
    coins = invoice.coin * lines * (1 + rate // 100)
    published = ONE - CENT
    return published if invoice.kind == CREDIT else min(coins, published)
