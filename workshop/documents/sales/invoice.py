"""Owns the paper of a sale: the invoice, the credit note, the receipt of a sale over the counter.

It prints what was issued, to the cent: fields that EU Directive 2006/112/EC art. 226 and UK VAT Regulations 1995 reg. 14 ask
for are listed in `costing.sell.sales.invoices.rules`. Must not work out a tax: lines that do not add up to the paper are refused.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from inventory.errors import Refused
from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table

ZERO = Decimal(0)


@dataclass(frozen=True)
class InvoiceLine:
    """A line as issued. `price` of one and `discount` off the line as they were agreed; `net_price` of one without tax.

    `rate` in percent, None where no tax is charged; `exemption` is the reason why a rate of zero applies.
    """

    description: str
    quantity: Decimal
    price: Decimal
    net: Decimal
    tax: Decimal
    gross: Decimal
    discount: Decimal = ZERO
    rate: Decimal | None = None
    net_price: Decimal = ZERO
    exemption: str = ""


@dataclass(frozen=True)
class Invoice:
    """A paper as issued. `taxed`: the seller was registered, and the paper shows tax by rate.

    `corrects` and `corrects_on` are the paper that a credit note changes, `balance` what that comes to after the note.
    `settled` are (words, amount) of what was paid or set off by the day of issue; `due` what was then left to pay.
    """

    title: str
    number: str
    issued_on: date
    supplied_on: date
    seller: Party
    buyer: Party
    lines: tuple[InvoiceLine, ...]
    net: Decimal
    tax: Decimal
    gross: Decimal
    currency: str
    taxed: bool = False
    prices_with_tax: bool = True
    due_on: date | None = None
    corrects: str = ""
    corrects_on: date | None = None
    reason: str = ""
    balance: Decimal | None = None
    settled: tuple[tuple[str, Decimal], ...] = ()
    due: Decimal | None = None
    notes: tuple[str, ...] = ()
    digits: int = 2
    tax_name: str = ""

    def __post_init__(self) -> None:
        stated_sums = ("net", self.net), ("tax", self.tax), ("total", self.gross)
        for (what, stated), added in zip(stated_sums, _sums(self.lines), strict=True):
            if added != stated:
                raise Refused(
                    f"The lines of {self.number} come to a {what} of {self.money(added)}, but the paper says "
                    f"{self.money(stated)}. Nothing was printed; check the books before you hand it out.",
                    field="number",
                )

    def rates(self) -> list[tuple[Decimal, str, Decimal, Decimal, Decimal]]:
        """(rate, exemption reason, net, tax, gross) of each rate on the paper, the highest rate first."""
        keys = sorted({(line.rate or ZERO, line.exemption) for line in self.lines}, reverse=True)
        return [
            (*key, *_sums([line for line in self.lines if (line.rate or ZERO, line.exemption) == key])) for key in keys
        ]

    @property
    def tax_word(self) -> str:
        """What the tax is called, as it stands at the beginning of a column's head."""
        return wording.opened(self.tax_name or "tax")

    def money(self, value: Decimal) -> str:
        return wording.number(value, self.digits)


def _sums(lines: Sequence[InvoiceLine]) -> tuple[Decimal, Decimal, Decimal]:
    return (
        sum((line.net for line in lines), ZERO),
        sum((line.tax for line in lines), ZERO),
        sum((line.gross for line in lines), ZERO),
    )


def render(invoice: Invoice, size: Paper = A4) -> bytes:
    """The paper as PDF, over as many pages as its lines take."""
    corrected = f"{invoice.corrects} of {wording.day(invoice.corrects_on)}" if invoice.corrects_on else ""
    facts = [
        ("Number", invoice.number),
        (f"{invoice.title} date", wording.day(invoice.issued_on)),
        ("Date of supply", wording.day(invoice.supplied_on)),
        ("Corrects invoice", corrected),
        ("Reason", invoice.reason),
        ("Due date", wording.day(invoice.due_on) if invoice.due_on else ""),
    ]
    story = [
        letter.head(invoice.title, invoice.seller, invoice.buyer, facts),
        _lines(invoice),
        *([_tax_summary(invoice)] if invoice.taxed else []),
        *_settled(invoice),
        *flow.paragraphs(invoice.notes, first=5 * mm),
    ]
    name = f"{invoice.title} {invoice.number}"
    foot = f"{invoice.seller.name} · {name} · {wording.day(invoice.issued_on)}"
    return flow.document(story, size, title=name, author=invoice.seller.name, foot=foot, day=invoice.issued_on)


def _lines(invoice: Invoice) -> Table:
    """The lines with their net and gross where tax is charged, else with their amount."""
    currency, taxed = invoice.currency, invoice.taxed
    columns: list[Column[tuple[int, InvoiceLine]]] = [
        Column("", 6, lambda each: str(each[0]), figure=True),
        Column("Description", 60 if taxed else 84, lambda each: (each[1].description, _details(invoice, each[1]))),
        Column("Quantity", 15, lambda each: wording.number(each[1].quantity), figure=True),
    ]
    if taxed:
        columns += [
            Column("Unit price, net", 22, lambda each: invoice.money(each[1].net_price), figure=True),
            Column(f"{invoice.tax_word}, %", 12, lambda each: wording.number(each[1].rate or ZERO), figure=True),
            Column(f"Net, {currency}", 25, amount=lambda each: each[1].net),
            Column(f"Gross, {currency}", 25, amount=lambda each: each[1].gross),
        ]
    else:
        columns += [
            Column(f"Unit price, {currency}", 28, lambda each: invoice.money(each[1].price), figure=True),
            Column(f"Amount, {currency}", 30, amount=lambda each: each[1].gross),
        ]
    total = "Credited" if invoice.corrects else "Total"
    sums = [("Net", invoice.net), (invoice.tax_word, invoice.tax), (f"{total} gross", invoice.gross)]
    named = [
        (f"{label}, {currency}", invoice.money(amount))
        for label, amount in (sums if taxed else [(total, invoice.gross)])
    ]
    closing = [flow.sums(named, before=1.5 * mm)]
    return Table(columns, list(enumerate(invoice.lines, start=1)), write=invoice.money, closing=closing)


def _tax_summary(invoice: Invoice) -> Table:
    """What each rate comes to; a rate of zero with its reason."""
    money = invoice.money
    columns: list[Column[tuple[Decimal, str, Decimal, Decimal, Decimal]]] = [
        Column(
            f"{invoice.tax_word} rate",
            60,
            lambda each: ", ".join(filter(None, (f"{wording.number(each[0])} %", each[1]))),
        ),
        Column(f"Net, {invoice.currency}", 32, lambda each: money(each[2]), figure=True),
        Column(f"{invoice.tax_word}, {invoice.currency}", 32, lambda each: money(each[3]), figure=True),
        Column(f"Gross, {invoice.currency}", 32, lambda each: money(each[4]), figure=True),
    ]
    return Table(columns, invoice.rates(), title=f"{invoice.tax_word} summary")


def _settled(invoice: Invoice) -> flow.Story:
    if invoice.balance is not None:
        label = f"Balance of {invoice.corrects} after this credit, {invoice.currency}"
        return [flow.sums([(label, invoice.money(invoice.balance))], bold=False, before=3 * mm)]
    if invoice.due is None:
        return []
    last = f"{'Balance due' if invoice.due >= 0 else 'Overpaid'}, {invoice.currency}"
    rows = [(label, invoice.money(-amount)) for label, amount in invoice.settled]
    return [flow.sums([*rows, (last, invoice.money(abs(invoice.due)))], before=3 * mm)]


def _details(invoice: Invoice, line: InvoiceLine) -> str:
    """Under a line: its price as agreed where the column shows another, and what was taken off it."""
    agreed = f"{invoice.money(line.price)} gross each" if invoice.taxed and invoice.prices_with_tax else ""
    less = f"less {invoice.money(abs(line.discount))} off" if line.discount else ""
    return ", ".join(filter(None, (agreed, less, line.exemption)))
