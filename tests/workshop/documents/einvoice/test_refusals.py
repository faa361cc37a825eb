"""What cannot be an e-invoice is refused in words that say what to enter where."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from costing.models import Customer, Sale
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from tests import factories
from tests.standards.workshop import einvoices
from tests.standards.workshop.einvoices import CASES, DE
from workshop.documents.einvoice import files, parties, rules, selectors

pytestmark = pytest.mark.django_db
D = Decimal


def _without_seller_country() -> Sale:
    einvoices.seller(country="")
    return einvoices.issued(einvoices.thing("Rug", "10.00"))


def _without_buyer_country() -> Sale:
    einvoices.seller()
    return einvoices.issued(einvoices.thing("Rug", "10.00"), to="")


def _without_any_number() -> Sale:
    einvoices.seller(registered=False, business_number="")
    return einvoices.issued(einvoices.thing("Rug", "10.00", None))


def _sales_tax() -> Sale:
    einvoices.seller(country="US", currency="USD", law="US")
    return einvoices.issued(einvoices.thing("Rug", "10.00", "8.25"), to="US")


def over_the_counter() -> Sale:
    einvoices.seller(short_limit=D(400))
    return factories.sale(einvoices.thing("Rug", "10.00"))


def _three_decimals() -> Sale:
    einvoices.seller(currency="KWD", registered=False)
    return einvoices.issued(einvoices.thing("Rug", "10.005", None))


def _untaxed() -> Sale:
    einvoices.seller()
    return einvoices.issued(einvoices.without("Rug", "10.00", "Resale certificate"))


def _abroad_without_number() -> Sale:
    einvoices.seller()
    return einvoices.issued(einvoices.without("Rug", "10.00", "Intra-community supply"), to="DE", number="RC-77")


def _mixed() -> Sale:
    einvoices.seller()
    return einvoices.issued(einvoices.without("Rug", "10.00", "Outside"), einvoices.thing("Book", "9.00"))


REFUSED: dict[str, tuple[Callable[[], Sale], str, str]] = {
    "no country of the seller": (_without_seller_country, "", "Enter it in Setup under Where you work"),
    "no country of the buyer": (
        _without_buyer_country,
        "",
        "The country of Ann Hill is not known. Enter it with the customer",
    ),
    "no number of the seller": (_without_any_number, "", "Enter your business number in Setup under Terms of selling"),
    "sales tax": (_sales_tax, "", "US has another tax"),
    "over the counter": (over_the_counter, "", "is of a sale over the counter"),
    "three decimals": (_three_decimals, "", "EN 16931 knows two"),
    "no kind of untaxed supply": (_untaxed, "", "“Resale certificate” says why no tax is charged, but not which kind"),
    "a kind that is none": (_untaxed, "X", "'X' is not a known kind of untaxed supply"),
    "no VAT number of the buyer": (_abroad_without_number, "K", "names the buyer's VAT number"),
    "outside beside others": (_mixed, "O", "can only be said of a whole invoice"),
    "not registered, reverse charge": (CASES["not registered"].make, "AE", "is outside it (O) or exempt (E)"),
}


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("name", REFUSED)
def test_what_is_missing_is_said_with_where_to_enter_it(name: str) -> None:
    make, untaxed, says = REFUSED[name]
    with pytest.raises(Refused) as refused:
        selectors.einvoice(make(), untaxed=untaxed)
    assert says in str(refused.value)


def test_a_paper_from_before_countries_takes_todays_while_the_address_is_the_same() -> None:
    sale = CASES["not registered"].make()
    for side in (sale.seller, sale.buyer):
        side.pop("country")
    sale.seller.pop("business_number")
    sale.save()
    found = selectors.einvoice(sale)
    assert (found.seller.country, found.seller.legal_id, found.buyer.country) == ("FI", "1234567-1", "DE")
    Customer.objects.update(postal_address="Moved away 2", country="SE")
    with pytest.raises(Refused, match="The country of Ann Hill is not known"):
        selectors.einvoice(Sale.objects.get(pk=sale.pk))


def test_a_country_that_changes_later_does_not_change_an_issued_paper() -> None:
    sale = CASES["paid"].make()
    workshop.set_up(country="SE")
    Customer.objects.update(country="DK")
    found = selectors.einvoice(Sale.objects.get(pk=sale.pk))
    assert (found.seller.country, found.buyer.country) == ("FI", "FI")


def test_no_lines_and_wrong_sums_are_refused_and_named() -> None:
    found = selectors.einvoice(CASES["paid"].make())
    with pytest.raises(Refused, match="BR-16: it has no line"):
        rules.refuse_unsound(replace(found, lines=()))
    with pytest.raises(Refused, match="BR-CO-15: the total"):
        rules.refuse_unsound(replace(found, totals=replace(found.totals, gross=D("1.00"))))
    dear = replace(found.groups[0], tax=found.groups[0].tax + D("0.05"))
    assert any("BR-CO-17" in fault for fault in rules.faults(replace(found, groups=(dear, *found.groups[1:]))))


def test_a_number_that_no_paper_has_and_a_form_that_there_is_not() -> None:
    with pytest.raises(Refused, match="There is no invoice INV-9"):
        selectors.numbered("INV-9")
    with pytest.raises(Refused, match="choose one of ubl, cii, pdf"):
        files.made(CASES["paid"].make(), "edifact")


@pytest.mark.parametrize(
    ("number", "country", "vat", "own"),
    [(DE, "DE", DE, ""), ("de 136 695 976", "DE", DE, ""), ("RC-77", "FI", "", "RC-77"), ("", "FI", "", "")],
)
def test_a_buyers_number_is_a_vat_number_only_with_the_letters_of_its_country(
    number: str, country: str, vat: str, own: str
) -> None:
    said = {"name": "Ann", "address": "Hill Road 1", "country": country, "tax_number": number}
    found = parties.buyer(said, outside=False, known=False)
    assert (found.vat_id, found.own_id) == (vat, own)
