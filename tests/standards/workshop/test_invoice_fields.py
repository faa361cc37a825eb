"""Every field that a law wants stands on the printed paper, read back out of the PDF by another program.

Sources, field by field, stand in `costing.documents.DUTIES`:
- Council Directive 2006/112/EC art. 226 (full invoice), 226b (simplified), 219 (corrections).
- UK VAT Regulations 1995 (SI 1995/2518) reg. 14(1) as amended, 15C (credit notes), 16A as it stood on 1 January 2020.
What nobody fixes is marked there as common practice.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

import pytest

from costing.models import Customer, Payment, Sale
from costing.sell.payments import services as payments
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.invoices.rules import DUTIES, Kind, Law
from costing.sell.sales.offers.services import Item
from costing.sell.sales.tax.rules import Mode
from costing.sell.sales.terms import services as terms
from inventory.base.accounting import services as workshop
from tests.workshop.documents import reading
from workshop.documents import printing
from workshop.documents.type import fonts

pytestmark = pytest.mark.django_db
D = Decimal
SUPPLIED, ISSUED, CREDITED = date(2025, 6, 10), date(2025, 6, 14), date(2025, 6, 20)
UNTAXED = "Seller not registered; no tax is charged."


@pytest.fixture(scope="module", autouse=True)
def _type_is_cut() -> None:
    """The first cut of the type takes seconds; no single test should be charged for it."""
    fonts.register()


@dataclass(frozen=True)
class Issued:
    """One paper as printed, with the records that it must name."""

    kind: Kind
    mode: Mode
    law: Law
    sale: Sale
    payment: Payment | None = None

    @property
    def words(self) -> str:
        made = printing.paper("payment", self.payment) if self.payment else printing.paper("sale", self.sale)
        return reading.words(made)


def issued(kind: Kind, mode: Mode, law: Law) -> Issued:
    """A paper of that kind through the services: two rates and a nought rate where tax is charged, a discount, two of one."""
    workshop.set_up(
        name="Routamo Skins",
        maker="K. Routamo",
        postal_address="Tawyard Lane 4, 99999 Utuharju",
        electronic_address="post@routamo-skins.example.org",
        currency="EUR",
    )
    workshop.pin_today(on=date(2025, 12, 31))
    taxed = mode is Mode.REGISTERED
    terms.set_terms(
        tax_number="FI12345671" if taxed else "",
        law=law.value,
        short_limit=D(400),
        untaxed_words=UNTAXED,
        prices_with_tax=True,
    )
    buyer = Customer.objects.create(name="Savupirtti Craft Room", postal_address="Kelokatu 8", tax_number="FI7654321")
    sale = selling.sell(
        kind="sale" if kind is Kind.SIMPLIFIED else "invoice",
        on=SUPPLIED,
        issued_on=ISSUED,
        customer=buyer,
        items=[
            Item(
                "other",
                D("100.40"),
                "Ram rug of my own",
                quantity=D(2),
                discount=D("15.00"),
                tax_percent=_rate("25.5", taxed),
            ),
            Item("other", D("11.40"), "Care booklet", tax_percent=_rate("14", taxed)),
            Item(
                "other",
                D("20.00"),
                "Work for abroad",
                tax_percent=_rate("0", taxed),
                relief="Export, art. 146" if taxed else "",
            ),
        ],
    )
    if kind is Kind.CREDIT:
        sale = credits.credit(sale=sale, on=CREDITED, reason="sent back unused")
    return Issued(kind, mode, law, sale)


def _rate(percent: str, taxed: bool) -> Decimal | None:
    return D(percent) if taxed else None


def _day(when: date) -> str:
    return f"{when.day} {when:%b} {when.year}"


def _money(value: Decimal) -> str:
    return f"{value:,.2f}".replace("-", "−")


# What must be read for each required field; every text, in this order where the order says what belongs together.
LOOKS: dict[str, Callable[[Issued], list[str]]] = {
    "number": lambda paper: [paper.payment.number if paper.payment else paper.sale.number],
    "issued_on": lambda paper: [_day(CREDITED if paper.kind is Kind.CREDIT else ISSUED)],
    "supplied_on": lambda paper: [f"Date of supply {_day(SUPPLIED)}"],
    "seller.name": lambda paper: ["K. Routamo", "Routamo Skins"],
    "seller.address": lambda paper: ["Tawyard Lane 4, 99999 Utuharju"],
    "seller.tax_number": lambda paper: ["Tax number FI12345671"],
    "buyer.name": lambda paper: ["Savupirtti Craft Room"],
    "buyer.address": lambda paper: ["Kelokatu 8"],
    "buyer.tax_number": lambda paper: ["FI7654321"],
    "lines": lambda paper: ["Ram rug of my own", "Care booklet", "Work for abroad", f"{_sign(paper)}2 "],
    "rates": lambda paper: [
        # 25.5 %: 2 × 100.40 − 15.00 = 185.80 with tax: 185.80 ÷ 1.255 = 148.05 (37.75 tax). 14 %: 11.40 ÷ 1.14 = 10.00.
        f"25.5 % {_sign(paper)}148.05 {_sign(paper)}37.75 {_sign(paper)}185.80",
        f"14 % {_sign(paper)}10.00 {_sign(paper)}1.40 {_sign(paper)}11.40",
        # The price of one without tax, art. 226(8): 100.40 ÷ 1.255 = 80.
        "80.00",
        f"less {_money(D('15.00'))} off",
    ],
    "total": lambda paper: [_money(paper.sale.gross)],
    "relief": lambda paper: ["0 %, Export, art. 146"],
    "reverse_charge": lambda paper: [],
    "note": lambda paper: [UNTAXED],
    "corrects": lambda paper: ["INV-001"],
    "corrects_on": lambda paper: [f"INV-001 of {_day(ISSUED)}"],
    "reason": lambda paper: ["sent back unused"],
    "received": lambda paper: ["Received, EUR 50.00"],
    "paid_how": lambda paper: ["Bank"],
    "what_for": lambda paper: ["For Receipt S-001: Ram rug of my own"],
}

# Of a receipt for money, whatever the tax: common practice, no source.
RECEIPT = ("number", "issued_on", "seller.name", "buyer.name", "received", "what_for", "paid_how")


def _sign(paper: Issued) -> str:
    return "−" if paper.kind is Kind.CREDIT else ""


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize("mode", Mode)
@pytest.mark.parametrize("law", Law)
@pytest.mark.parametrize("kind", Kind)
def test_every_field_that_the_tax_mode_needs_is_read_on_the_printed_paper(kind: Kind, law: Law, mode: Mode) -> None:
    paper = issued(kind, mode, law)
    said = paper.words
    wanted = [duty for duty in DUTIES if duty.source(kind, mode, law)]
    assert wanted
    absent = [
        (duty.field, duty.source(kind, mode, law), text)
        for duty in wanted
        for text in LOOKS[duty.field](paper)
        if text not in said
    ]
    assert absent == []


@pytest.mark.parametrize("mode", Mode)
def test_a_receipt_for_money_says_from_whom_for_what_and_how_it_came(mode: Mode) -> None:
    paper = issued(Kind.SIMPLIFIED, mode, Law.EU)
    money = payments.receive(sale=paper.sale, amount=D("50.00"), how="bank", on=ISSUED)
    paper = replace(paper, payment=money)
    said = paper.words
    assert [(field, text) for field in RECEIPT for text in LOOKS[field](paper) if text not in said] == []


def test_every_required_field_is_looked_for() -> None:
    assert {duty.field for duty in DUTIES} | set(RECEIPT) == set(LOOKS)


@pytest.mark.parametrize("kind", [Kind.INVOICE, Kind.SIMPLIFIED, Kind.CREDIT])
def test_a_seller_who_is_not_registered_shows_no_tax(kind: Kind) -> None:
    # Art. 203 of Directive 2006/112/EC: who enters VAT on an invoice owes it. So there must be none to read.
    said = issued(kind, Mode.NOT_REGISTERED, Law.EU).words.replace(UNTAXED, "").replace("Tax number FI7654321", "")
    assert "tax" not in said.lower()
    assert "%" not in said


def test_a_paper_stays_what_it_was_when_the_settings_change() -> None:
    paper = issued(Kind.INVOICE, Mode.NOT_REGISTERED, Law.EU)
    before = printing.paper("sale", paper.sale)
    terms.set_terms(tax_number="FI99999999", untaxed_words="Something else.", payment_words="Pay in shells.")
    workshop.set_up(
        name="Other Skins", maker="Somebody", postal_address="Elsewhere 9", electronic_address="x@example.org"
    )
    Customer.objects.update(name="Renamed Room", postal_address="Moved 1")
    payments.receive(sale=paper.sale, amount=D("30.00"), how="cash", on=date(2025, 7, 1))
    assert printing.paper("sale", paper.sale) == before


def test_a_full_credit_comes_to_the_invoice_with_its_sign_turned() -> None:
    paper = issued(Kind.INVOICE, Mode.REGISTERED, Law.EU)
    note = credits.credit(sale=paper.sale, on=CREDITED, reason="sent back")
    said = reading.words(printing.paper("sale", note))
    assert f"Credited gross, EUR −{_money(paper.sale.gross)}" in said
    assert f"Total of {paper.sale.number} after this credit, EUR 0.00" in said
