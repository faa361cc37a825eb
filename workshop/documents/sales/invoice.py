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
from workshop.documents.kit.letter import Party, Payment
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table
from workshop.documents.words.rules import ENGLISH, Words

ZERO = Decimal(0)
INVOICE, CREDIT, SALE = "invoice", "credit", "sale"


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
    """A paper as issued: an invoice, a credit note or the receipt of a sale, by `kind`. `taxed`: the seller was registered, and
    the paper shows tax by rate.

    `corrects` and `corrects_on` are the paper that a credit note changes, `balance` what that comes to after the note.
    `settled` are (words, amount) of what was paid or set off by the day of issue; `due` what was then left to pay, by `due_on`
    and as `payment` says; who has nothing left to pay is told nothing of either.
    """

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
    kind: str = INVOICE
    taxed: bool = False
    prices_with_tax: bool = True
    due_on: date | None = None
    corrects: str = ""
    corrects_on: date | None = None
    reason: str = ""
    balance: Decimal | None = None
    settled: tuple[tuple[str, Decimal], ...] = ()
    due: Decimal | None = None
    payment: Payment = letter.UNASKED
    notes: tuple[str, ...] = ()
    digits: int = 2
    tax_name: str = ""
    words: Words = flow.ENGLISH

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
    def title(self) -> str:
        kind = self.kind
        return self.words(f"invoice.title.{kind}")

    @property
    def payable(self) -> bool:
        """Whether something is asked of the buyer: what is left to pay, on an invoice."""
        left = self.gross if self.due is None else self.due
        return self.kind == INVOICE and left > 0 and not self.payment.settled

    @property
    def tax_word(self) -> str:
        """What the tax is called, as it stands at the beginning of a column's head."""
        return tax_word(self.tax_name, self.words)

    def money(self, value: Decimal) -> str:
        return wording.number(value, self.digits)


def tax_word(name: str, words: Words) -> str:
    """The tax by the maker's name for it; value added tax, whatever they call it, by that of another language.

    >>> tax_word("ALV", Words("de")), tax_word("ALV", Words()), tax_word("", Words())
    ('MwSt.', 'ALV', 'Tax')
    """
    if name.casefold().rstrip(".") in _VALUE_ADDED and words.language != ENGLISH:
        return words("invoice.value_added_tax")
    return wording.opened(name or words("invoice.tax"))


# What value added tax is called where papers have words; common knowledge, no source.
_VALUE_ADDED = ("vat", "alv", "moms", "mwst", "ust", "tva", "iva")


def _sums(lines: Sequence[InvoiceLine]) -> tuple[Decimal, Decimal, Decimal]:
    return (
        sum((line.net for line in lines), ZERO),
        sum((line.tax for line in lines), ZERO),
        sum((line.gross for line in lines), ZERO),
    )


def render(invoice: Invoice, size: Paper = A4) -> bytes:
    """The paper as PDF, over as many pages as its lines take."""
    words, kind = invoice.words, invoice.kind
    corrected = ""
    if invoice.corrects_on:
        corrected = words("invoice.corrected", number=invoice.corrects, day=words.day(invoice.corrects_on))
    facts = [
        (words("invoice.number"), invoice.number),
        (words(f"invoice.date.{kind}"), words.day(invoice.issued_on)),
        (words("invoice.supplied"), words.day(invoice.supplied_on)),
        (words("invoice.corrects"), corrected),
        (words("invoice.reason"), invoice.reason),
        (words("invoice.due_date"), words.day(invoice.due_on) if invoice.due_on and invoice.payable else ""),
    ]
    story = [
        letter.head(invoice.title, invoice.seller, invoice.buyer, facts, words=words),
        _lines(invoice),
        *([_tax_summary(invoice)] if invoice.taxed else []),
        *_settled(invoice),
        *flow.paragraphs(invoice.notes, first=5 * mm),
        *_payment(invoice),
    ]
    name = f"{invoice.title} {invoice.number}"
    foot = f"{invoice.seller.name} · {name} · {words.day(invoice.issued_on)}"
    return flow.document(
        story, size, title=name, author=invoice.seller.name, foot=foot, day=invoice.issued_on, words=words
    )


def _lines(invoice: Invoice) -> Table:
    """The lines with their net and gross where tax is charged, else with their amount."""
    currency, taxed, words = invoice.currency, invoice.taxed, invoice.words
    columns: list[Column[tuple[int, InvoiceLine]]] = [
        Column("", 6, lambda each: str(each[0]), figure=True),
        Column(
            words("invoice.description"),
            60 if taxed else 84,
            lambda each: (each[1].description, _details(invoice, each[1])),
        ),
        Column(words("invoice.quantity"), 15, lambda each: wording.number(each[1].quantity), figure=True),
    ]
    if taxed:
        columns += [
            Column(words("invoice.unit_price_net"), 22, lambda each: invoice.money(each[1].net_price), figure=True),
            Column(f"{invoice.tax_word}, %", 12, lambda each: wording.number(each[1].rate or ZERO), figure=True),
            Column(f"{words('invoice.net')}, {currency}", 25, amount=lambda each: each[1].net),
            Column(f"{words('invoice.gross')}, {currency}", 25, amount=lambda each: each[1].gross),
        ]
    else:
        columns += [
            Column(
                f"{words('invoice.unit_price')}, {currency}", 28, lambda each: invoice.money(each[1].price), figure=True
            ),
            Column(f"{words('invoice.amount')}, {currency}", 30, amount=lambda each: each[1].gross),
        ]
    total = "credited" if invoice.corrects else "total"
    last = words(f"invoice.{total}_gross" if taxed else f"invoice.{total}"), invoice.gross
    sums = [(words("invoice.net"), invoice.net), (invoice.tax_word, invoice.tax), last] if taxed else [last]
    named = [(f"{label}, {currency}", invoice.money(amount)) for label, amount in sums]
    closing = [flow.sums(named, before=1.5 * mm)]
    return Table(columns, list(enumerate(invoice.lines, start=1)), write=invoice.money, closing=closing)


def _tax_summary(invoice: Invoice) -> Table:
    """What each rate comes to; a rate of zero with its reason."""
    money, words, currency = invoice.money, invoice.words, invoice.currency
    columns: list[Column[tuple[Decimal, str, Decimal, Decimal, Decimal]]] = [
        Column(
            words("invoice.tax_rate", tax=invoice.tax_word),
            60,
            lambda each: ", ".join(filter(None, (f"{wording.number(each[0])} %", each[1]))),
        ),
        Column(f"{words('invoice.net')}, {currency}", 32, lambda each: money(each[2]), figure=True),
        Column(f"{invoice.tax_word}, {currency}", 32, lambda each: money(each[3]), figure=True),
        Column(f"{words('invoice.gross')}, {currency}", 32, lambda each: money(each[4]), figure=True),
    ]
    return Table(columns, invoice.rates(), title=words("invoice.tax_summary", tax=invoice.tax_word))


def _settled(invoice: Invoice) -> flow.Story:
    words = invoice.words
    if invoice.balance is not None:
        label = f"{words('invoice.total_after', number=invoice.corrects)}, {invoice.currency}"
        return [flow.sums([(label, invoice.money(invoice.balance))], bold=False, before=3 * mm)]
    if invoice.due is None:
        return []
    last = f"{words('invoice.balance_due' if invoice.due >= 0 else 'invoice.overpaid')}, {invoice.currency}"
    rows = [(label, invoice.money(-amount)) for label, amount in invoice.settled]
    return [flow.sums([*rows, (last, invoice.money(abs(invoice.due)))], before=3 * mm)]


def _payment(invoice: Invoice) -> flow.Story:
    """How to pay what is left; that it is paid where nothing is left."""
    words, asked = invoice.words, invoice.payment
    if invoice.kind != INVOICE:
        return []
    if not invoice.payable:
        said = "since" if asked.settled else "paid" if invoice.settled else "nothing"
        return [flow.words(words(f"invoice.settled.{said}"), bold=True, before=5 * mm)]
    return letter.how_to_pay(asked, words)


def _details(invoice: Invoice, line: InvoiceLine) -> str:
    """Under a line: its price as agreed where the column shows another, and what was taken off it."""
    words, money = invoice.words, invoice.money
    other = invoice.taxed and invoice.prices_with_tax and line.price != line.net_price
    agreed = words("invoice.gross_each", price=money(line.price)) if other else ""
    less = words("invoice.less", discount=money(abs(line.discount))) if line.discount else ""
    return ", ".join(filter(None, (agreed, less, line.exemption)))
