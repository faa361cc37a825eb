"""The pages of moving in: each enters one balance, and who may not is told so."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import Payment, Sale, Series
from inventory.models import Article, Skin
from tests import factories as make
from tests.inventory.pages import signed_in

pytestmark = pytest.mark.django_db


@pytest.fixture
def page(db: None) -> Client:
    return signed_in()


def enter(page: Client, name: str, **given: str) -> None:
    sent = page.post(reverse(name), {"request_key": name, **given})
    assert sent.status_code == 302, sent.content.decode()
    page.post(reverse(name), {"request_key": name, **given})  # a second tap writes nothing more


def test_one_page_leads_to_all(page: Client) -> None:
    shown = page.get(reverse("moving_in")).content.decode()
    for name in ("bring", "shelf", "moving_skin", "moving_piece", "moving_debtor", "moving_deposit", "moving_numbers"):
        assert reverse(name) in shown
    assert reverse("moving_in") in page.get(reverse("setup")).content.decode()


def test_a_piece_and_a_skin(page: Client) -> None:
    worked = {"on": "2025-01-01", "species": "Sheep", "cost": "40", "hours": "10"}
    enter(page, "moving_piece", number="A1", kind="Rug", method="alum_tawed", area="80", area_unit="dm2", **worked)
    enter(page, "moving_skin", tag="H1", green_weight="4", weight_unit="kg", **worked)
    assert Article.objects.get().cost.own_minutes == 600
    skin = Skin.objects.get(tag="H1")
    assert (skin.price, skin.minutes_before, skin.green_weight, skin.opening) == (40, 600, 4000, True)


def test_an_unpaid_invoice_has_a_page_but_no_paper(page: Client) -> None:
    enter(page, "moving_debtor", number="117", customer="Ann Lee", on="2024-11-20", amount="66.00")
    old = Sale.objects.get()
    shown = page.get(reverse("sale", args=[old.number])).content.decode()
    assert "Invoice of the old books" in shown
    assert reverse("sale_pdf", args=[old.number]) not in shown
    refused = page.get(reverse("sale_pdf", args=[old.number]), follow=True).content.decode()
    assert "is of the old books, and so is its paper" in refused


def test_a_deposit(page: Client) -> None:
    job = make.job("J-01", price=100)
    enter(page, "moving_deposit", job="J-01", amount="40", on=str(job.taken_on), how="bank")
    assert (Payment.objects.get().opening, Payment.objects.get().amount) == (True, 40)


@pytest.mark.thorough
def test_next_numbers(page: Client) -> None:
    enter(page, "moving_numbers", sale_next="1", invoice_next="118", credit_next="1", receipt_next="40")
    assert Series.objects.get(kind="invoice").last == 117
    assert "INV-118" in page.get(reverse("moving_numbers")).content.decode()


@pytest.mark.parametrize("name", ["moving_piece", "moving_debtor", "moving_deposit", "moving_numbers"])
def test_a_helper_may_not(name: str) -> None:
    assert signed_in(make.person("helper")).get(reverse(name)).status_code == 403
