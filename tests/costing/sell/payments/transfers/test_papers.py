"""What an invoice asks of its buyer, from its records: where and how to pay while something is left, in the buyer's language.

The code is read back by zxing-cpp from the picture that pypdfium2 makes of the printed page.
"""

from datetime import date
from decimal import Decimal
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from django.test import Client
from django.urls import reverse
from stdnum import iso11649

from costing.models import Customer, Sale
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.payments.transfers import rules as transfers
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.numbering import services as series
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import services as terms
from inventory.base.accounting import services as workshop
from inventory.base.identifiers.rules import grouped
from inventory.errors import Refused
from tests import factories as make
from tests.workshop.documents import reading
from workshop.documents import printing
from workshop.documents.records import invoices
from workshop.documents.words.rules import LANGUAGES

pytestmark = pytest.mark.django_db
D = Decimal
DAY, LATER = date(2025, 6, 14), date(2025, 7, 1)
ACCOUNT = {"iban": "FI21 1234 5600 0007 85", "bic": "NDEAFIHH"}
PAY = ("How to pay", "FI21 1234 5600 0007 85", "NDEAFIHH", "Due date", "Pay within a fortnight.", "Scan with")


def shop(**changed: Any) -> None:
    given = {"name": "Routamo Skins", "maker": "K. Routamo", "postal_address": "Tawyard Lane 4", **ACCOUNT}
    workshop.set_up(**given | changed)
    workshop.pin_today(on=date(2025, 12, 31))
    terms.set_terms(payment_words="Pay within a fortnight.")


def sold(*, paid: str = "", kind: str = "invoice", **changed: Any) -> Sale:
    given: dict[str, Any] = {
        "kind": kind,
        "on": DAY,
        "customer": Customer.objects.first() or make.customer("Ella Öhman"),
        "items": [Item("other", D("123.45"), "Reindeer rug")],
        "paid": [Paid(D(paid), "card")] if paid else [],
    }
    return selling.sell(**given | changed)


def said(sale: Sale, **options: Any) -> str:
    return reading.words(printing.paper("sale", sale, **options))


def codes(printed: bytes, dots: int = 150) -> list[str]:
    with pypdfium2.PdfDocument(printed) as document:
        pictures = [page.render(scale=dots / 72, grayscale=True).to_pil() for page in document]
    return [code.text for picture in pictures for code in zxingcpp.read_barcodes(picture)]


def fields(sale: Sale, **options: Any) -> dict[str, Any]:
    """The fields of the one code on the paper, by what EPC069-12 calls them; the amount as a number."""
    (found,) = codes(printing.paper("sale", sale, **options))
    names = ("tag", "version", "charset", "kind", "bic", "name", "iban", "amount", "purpose", "reference", "text")
    there: dict[str, Any] = dict(zip(names, found.split("\n"), strict=False))
    assert there["amount"].startswith("EUR")
    return {**there, "amount": D(there["amount"][3:])}


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("sheet", ["a4", "letter"])
def test_the_code_on_an_invoice_fills_in_a_banking_app(sheet: str) -> None:
    shop(reference="rf")
    sale = sold()
    reference = transfers.reference("rf", sale.number)
    assert fields(sale, sheet=sheet) == {
        "tag": "BCD",
        "version": "002",
        "charset": "1",
        "kind": "SCT",
        "bic": "NDEAFIHH",
        "name": "K. Routamo",
        "iban": "FI2112345600000785",
        "amount": D("123.45"),
        "purpose": "",
        "reference": reference,
    }
    assert iso11649.is_valid(reference)
    assert reference.endswith(sale.number.replace("-", ""))
    words = said(sale, sheet=sheet)
    for asked in (*PAY, "Pay to K. Routamo", f"Payment reference {grouped(reference)}"):
        assert asked in words


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("dots", [150, 203, 300])
def test_the_code_is_read_at_every_resolution_with_the_longest_names(dots: int) -> None:
    shop(payment_name="Ää" * 35, reference="rf")
    assert "Ää" * 35 in codes(printing.paper("sale", sold()), dots)[0]


# Of invoice 17. A Finnish reference goes into the code in its RF form; Belgium's is no ISO 11649 one, so it goes in as words.
@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("kind", "printed", "field", "coded"),
    [
        ("none", "", "text", "Invoice INV-017"),
        ("rf", "RF46 INV0 17", "reference", "RF46INV017"),
        ("fi", "10171", "reference", "RF9110171"),
        ("be", "+++000/0000/01717+++", "text", "+++000/0000/01717+++"),
        ("ch", "00 00000 00000 00000 00000 00173", "text", "00 00000 00000 00000 00000 00173"),
    ],
)
def test_each_kind_of_reference_stands_on_paper_and_in_the_code(
    kind: str, printed: str, field: str, coded: str
) -> None:
    shop(reference=kind)
    series.begin(at={"invoice": 17})
    sale = sold()
    assert fields(sale)[field] == coded
    assert ("Payment reference" in said(sale)) == bool(printed)
    assert printed in said(sale)


def test_only_what_is_left_on_the_day_is_asked_for() -> None:
    shop()
    assert fields(sold(paid="23.45"))["amount"] == D(100)


@pytest.mark.parametrize("kind", ["invoice", "sale"])
def test_a_paid_paper_asks_for_nothing_and_an_invoice_says_that_it_is_paid(kind: str) -> None:
    shop()
    paper = sold(paid="123.45", kind=kind)
    words = said(paper)
    assert not [asked for asked in PAY if asked in words]
    assert codes(printing.paper("sale", paper)) == []
    assert ("registered for it. Paid" in words) == (kind == "invoice")


def test_an_invoice_that_was_paid_since_keeps_its_figures_and_asks_for_nothing() -> None:
    shop()
    sale = sold()
    payments.receive(sale=sale, amount=D("123.45"), how="bank", on=LATER)
    words = said(sale)
    assert "Balance due, EUR 123.45 No tax is charged" in words
    assert "Settled since: nothing is left to pay" in words
    assert not [asked for asked in PAY if asked in words]


def test_an_invoice_that_was_credited_asks_for_nothing_and_neither_does_its_credit_note() -> None:
    shop()
    sale = sold()
    note = credits.credit(sale=sale, on=LATER, reason="sent back")
    for paper in (sale, note):
        assert not [asked for asked in PAY if asked in said(paper)]


def test_the_account_of_the_day_of_issue_stays_on_the_paper() -> None:
    shop(reference="rf")
    sale = sold()
    before = printing.paper("sale", sale)
    workshop.set_up(iban="DE89 3704 0044 0532 0130 00", bic="", payment_name="Somebody", reference="fi")
    assert printing.paper("sale", sale) == before


def test_an_invoice_of_before_there_was_an_account_names_none() -> None:
    shop(iban="", bic="")
    sale = sold()
    workshop.set_up(**ACCOUNT, reference="rf")
    words = said(sale)
    assert "How to pay Pay within a fortnight." in words
    assert "IBAN" not in words
    assert "Payment reference" not in words
    assert codes(printing.paper("sale", sale)) == []


def test_another_currency_than_the_euro_has_an_account_but_no_code() -> None:
    shop(currency="USD")
    sale = sold()
    assert "FI21 1234 5600 0007 85" in said(sale)
    assert codes(printing.paper("sale", sale)) == []


def test_an_account_name_beyond_the_code_leaves_the_code_out_and_the_invoice_whole() -> None:
    shop(payment_name="\U00020000" * 70)
    assert invoices.invoice(sold()).payment.code == ""


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("language", LANGUAGES)
def test_an_invoice_is_in_the_language_asked_for_with_its_days_and_legal_words(language: str, client: Client) -> None:
    shop(tax_name="ALV")
    terms.set_terms(tax_number="FI12345671", short_limit=D(400))
    item = Item("other", D(50), "Rug", tax_percent=D(0), relief="Reverse charge")
    buyer = make.customer("Müller", postal_address="Hauptstraße 5", tax_number="DE136695976")
    sale = sold(items=[item], customer=buyer)
    expected = {
        "en": ("Invoice", "14 Jun 2025", "Reverse charge", "ALV, %"),
        "fi": ("Lasku", "14.6.2025", "Käännetty verovelvollisuus", "ALV, %"),
        "sv": ("Faktura", "14 juni 2025", "Omvänd betalningsskyldighet", "Moms, %"),
        "de": ("Rechnung", "14.06.2025", "Steuerschuldnerschaft des Leistungsempfängers", "MwSt., %"),
        "fr": ("Facture", "14 juin 2025", "Autoliquidation", "TVA, %"),
        "es": ("Factura", "14 jun 2025", "Inversión del sujeto pasivo", "IVA, %"),
    }[language]
    words = said(sale, language=language)
    for phrase in expected:
        assert phrase in words
    answer = client.get(reverse("sale_pdf", args=[sale.number]), {"language": language})
    assert answer.content == printing.paper("sale", sale, language=language)


def test_a_customers_own_language_is_taken_where_none_is_asked_for() -> None:
    shop()
    sale = sold()
    Customer.objects.update(language="fi")
    assert "Lasku" in said(sale)
    assert "Invoice" in said(sale, language="en")


def test_the_makers_own_reason_stays_as_it_was_written_in_every_language() -> None:
    shop()
    terms.set_terms(tax_number="FI12345671", short_limit=D(400))
    buyer = make.customer("Müller", postal_address="Hauptstraße 5", tax_number="DE136695976")
    sale = sold(items=[Item("other", D(50), "Rug", tax_percent=D(0), relief="Museum, by ruling 7")], customer=buyer)
    assert "Museum, by ruling 7" in said(sale, language="fi")


def test_a_language_that_is_not_there_is_refused() -> None:
    shop()
    with pytest.raises(Refused, match="There are no words in 'tlh'"):
        said(sold(), language="tlh")


@pytest.mark.parametrize("percent", ["100"])
def test_a_tax_of_all_of_the_price_adds_up(percent: str) -> None:
    shop()
    terms.set_terms(tax_number="FI12345671", short_limit=D(400), prices_with_tax=False)
    buyer = make.customer("Müller", postal_address="Hauptstraße 5", tax_number="DE136695976")
    words = said(sold(items=[Item("other", D("10.01"), "Rug", tax_percent=D(percent))], customer=buyer))
    assert "Total gross, EUR 20.02" in words


def test_an_invoice_of_nothing_says_that_nothing_is_to_be_paid() -> None:
    shop()
    words = said(sold(items=[Item("other", D("10.00"), "Rug", discount=D("10.00"))]))
    assert "Total, EUR 0.00" in words
    assert "Nothing to pay" in words
    assert not [asked for asked in PAY if asked in words]


def test_an_invoice_of_no_line_and_a_buyer_of_300_letters_are_refused_in_words() -> None:
    shop()
    with pytest.raises(Refused, match="Nothing was chosen"):
        sold(items=[])
    with pytest.raises(Refused, match="The name is longer than 80 characters"):
        make.customer("B" * 300)
