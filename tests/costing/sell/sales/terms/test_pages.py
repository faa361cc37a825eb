"""Pages of the terms of selling and of the numbers of papers."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import Series, Terms
from costing.sell.sales.invoices import selectors as invoices
from costing.sell.sales.numbering import services as series
from inventory.base import selectors
from inventory.base.accounting import services as workshop
from tests import factories as make
from tests.inventory.pages import signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal

TERMS: dict[str, Any] = {
    "tax_number": "FI12345671",
    "business_number": "",
    "short_limit": "100",
    "prices_with_tax": "on",
    "untaxed_words": "",
    "payment_days": "14",
    "payment_words": "By bank.",
    "deposit_percent": "33,5",
    "storage_free_days": "10",
    "storage_per_day": "1,50",
    "turnover_limit": "",
    "request_key": "k",
}

SERIES: dict[str, Any] = {
    "sale_prefix": "S-",
    "sale_digits": "3",
    "invoice_prefix": "INV-",
    "invoice_digits": "3",
    "credit_prefix": "CN-",
    "credit_digits": "3",
    "receipt_prefix": "R-",
    "receipt_digits": "3",
    "request_key": "k",
}


@pytest.mark.parametrize("name", ["setup_terms", "setup_series"])
def test_the_pages_are_the_owners(client: Client, name: str) -> None:
    assert client.get(reverse(name)).status_code == 200
    for role in ("helper", "bookkeeper"):
        other = signed_in(make.person(role))
        assert other.get(reverse(name)).status_code == 403
        assert other.post(reverse(name), TERMS | SERIES).status_code == 403
    assert not Terms.objects.exists()
    assert not Series.objects.exists()


def test_setup_leads_to_the_terms_and_they_to_the_numbers(client: Client) -> None:
    assert reverse("setup_terms") in text(client.get(reverse("setup")))
    assert reverse("setup_series") in text(client.get(reverse("setup_terms")))


def test_terms_are_set_and_shown_again(client: Client) -> None:
    assert client.post(reverse("setup_terms"), TERMS)["location"] == reverse("setup")
    row = Terms.objects.get()
    assert (row.tax_number, row.short_limit, row.prices_with_tax, row.rolling) == ("FI12345671", D(100), True, False)
    assert (row.deposit_percent, row.storage_free_days, row.storage_per_day) == (D("33.5"), 10, D("1.50"))
    assert (row.turnover_limit, row.untaxed_words) == (None, Terms().untaxed_words)
    page = text(client.get(reverse("setup_terms")))
    for shown in ('value="33.5"', 'value="1.5"', 'value="FI12345671"', 'value="By bank."'):
        assert shown in page


def test_the_account_is_kept_without_spaces_shown_in_fours_and_frozen_with_what_is_issued(client: Client) -> None:
    account = {"iban": "fi21 1234 5600 0007 85", "bic": "bhbldehh xxx", "reference": "rf"}
    workshop.set_up(maker="K. Routamo", postal_address="Tawyard Lane 4", by=None)
    client.post(reverse("setup_terms"), TERMS | account)
    row = selectors.current()
    assert (row.iban, row.bic, row.payment_name, row.reference) == ("FI2112345600000785", "BHBLDEHHXXX", "", "rf")
    assert 'value="FI21 1234 5600 0007 85"' in text(client.get(reverse("setup_terms")))
    frozen = invoices.seller()
    assert (frozen["iban"], frozen["payment_name"], frozen["reference"]) == (row.iban, "K. Routamo", "rf")
    client.post(reverse("setup_terms"), TERMS | {"request_key": "l"})
    selectors.forget()
    assert (selectors.current().iban, selectors.current().reference, invoices.seller()["payment_name"]) == (
        "",
        "none",
        "",
    )


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"payment_days": "-1"}, "payment_days", "greater than or equal"),
        ({"payment_days": ""}, "payment_days", "required"),
        ({"deposit_percent": "101"}, "deposit_percent", "more than the price"),
        ({"storage_per_day": "-1"}, "storage_per_day", "negative"),
        ({"short_limit": "0"}, "short_limit", "more than nothing"),
        ({"tax_number": "a\x07"}, "tax_number", "control character"),
        ({"tax_number": "FI12345678"}, "tax_number", "begins with FI as a VAT number does"),
        ({"iban": "FI21 1234 5600 0007 86"}, "iban", "FI21 1234 5600 0007 86 is no IBAN"),
        ({"bic": "BHBLDEHHXXX"}, "iban", "enter the IBAN, too"),
        ({"iban": "FI21 1234 5600 0007 85", "bic": "BHB"}, "bic", "8 or 11 signs"),
    ],
)
def test_a_wrong_term_is_refused_beside_its_box_and_nothing_is_written(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    answer = client.post(reverse("setup_terms"), TERMS | wrong)
    assert said in answer.context["form"].errors[field][0]
    assert not Terms.objects.exists()


def test_numbers_are_written_anew_before_the_first_paper(client: Client) -> None:
    assert "INV-001" in text(client.get(reverse("setup_series")))
    sent = SERIES | {"invoice_prefix": "2025-", "invoice_digits": "4"}
    assert client.post(reverse("setup_series"), sent)["location"] == reverse("setup_terms")
    assert series.take("invoice") == (1, "2025-0001")
    assert "2025-0002" in text(client.get(reverse("setup_series")))


def test_a_series_with_a_paper_is_shown_and_not_written(client: Client) -> None:
    series.take("invoice")
    page = text(client.get(reverse("setup_series")))
    assert "1 issued, so it stays as it is written" in page
    assert (
        client.post(reverse("setup_series"), SERIES | {"invoice_prefix": "X-", "sale_prefix": "M-"}).status_code == 302
    )
    assert dict(Series.objects.values_list("kind", "prefix"))["invoice"] == "INV-"
    assert series.take("sale")[1] == "M-001"


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"sale_prefix": "INV-"}, "invoice_prefix", "could carry one number"),
        ({"credit_prefix": "C N"}, "credit_prefix", "cannot be used"),
        ({"credit_digits": "0"}, "credit_digits", "greater than or equal"),
    ],
)
def test_a_wrong_way_of_writing_is_refused_beside_its_series(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    answer = client.post(reverse("setup_series"), SERIES | wrong)
    assert said in answer.context["form"].errors[field][0]
    assert series.take("sale")[1] == "S-001"


def test_two_series_change_places_in_one_form(client: Client) -> None:
    client.post(reverse("setup_series"), SERIES | {"sale_prefix": "INV-", "invoice_prefix": "S-"})
    assert (series.take("sale")[1], series.take("invoice")[1]) == ("INV-001", "S-001")
