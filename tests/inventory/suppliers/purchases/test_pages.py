"""Pages of suppliers: the list, one with what it brought, what is known about it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from inventory.ledger import services as ledger
from inventory.models import Supplier
from tests import factories
from tests.inventory.pages import queries, text

pytestmark = pytest.mark.django_db


def test_pages_open_for_the_owner(client: Client) -> None:
    pk = factories.supplier().pk
    for address in (reverse("suppliers"), reverse("supplier", args=[pk]), reverse("supplier_edit", args=[pk])):
        assert client.get(address).status_code == 200


def test_nobody_yet_says_how_a_supplier_is_made(client: Client) -> None:
    assert "first delivery or skin that names it" in text(client.get(reverse("suppliers")))


def test_the_list_counts_deliveries_that_stand_and_skins(client: Client) -> None:
    alum = factories.material()
    factories.delivery(factories.line(alum), ref="P-1")
    wrong = factories.delivery(factories.line(alum), ref="P-2")
    ledger.reverse(posting=wrong.posting, reason="wrong sack")
    for tag in ("H01", "H02", "H03"):
        factories.skin(tag, supplier=factories.supplier())
    found = client.get(reverse("suppliers")).context["table"].data[0]
    assert (found.brought, found.hides) == (1, 3)


def test_a_supplier_shows_its_deliveries_and_skins(client: Client) -> None:
    came = factories.delivery(factories.line(factories.material()), ref="P-1")
    factories.skin("H01", supplier=factories.supplier())
    factories.skin("H02", supplier=factories.supplier("Sammalniitty Sheep Farm"))
    page = text(client.get(reverse("supplier", args=[came.supplier_id])))
    assert reverse("delivery", args=[came.pk]) in page
    assert "H01" in page
    assert "H02" not in page


def test_a_note_is_kept_and_a_control_character_in_it_refused(client: Client) -> None:
    pk = factories.supplier().pk
    address = reverse("supplier_edit", args=[pk])
    assert client.post(address, {"note": "Nine days by carrier", "request_key": "k"}).status_code == 302
    refused = client.post(address, {"note": "a\x07", "request_key": "k2"})
    assert "control character" in refused.context["form"].errors["note"][0]
    assert Supplier.objects.get().note == "Nine days by carrier"


def test_what_an_order_costs_to_bring_is_kept_and_shown(client: Client) -> None:
    pk = factories.supplier().pk
    said = {"note": "", "carriage": "9,90", "carriage_free_from": "150", "request_key": "k"}
    assert client.post(reverse("supplier_edit", args=[pk]), said).status_code == 302
    kept = Supplier.objects.get()
    assert (kept.carriage, kept.carriage_free_from) == (Decimal("9.90"), Decimal(150))
    assert "Carriage of an order 9.90 €, free from 150.00 €" in text(client.get(reverse("supplier", args=[pk])))


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("carriage", "-1", "cannot be negative"),
        ("carriage", "9.9050", "more than 2 decimals"),
        ("carriage_free_from", "0", "must be more than nothing"),
    ],
)
def test_a_carriage_that_cannot_be_is_refused_beside_its_box(client: Client, field: str, typed: str, said: str) -> None:
    pk = factories.supplier().pk
    answer = client.post(reverse("supplier_edit", args=[pk]), {field: typed, "request_key": "k"})
    assert said in answer.context["form"].errors[field][0]


@pytest.mark.thorough
def test_the_list_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    factories.supplier("S")
    one = queries(client, reverse("suppliers"))
    for number in range(29):
        factories.skin(f"H{number}", supplier=factories.supplier(f"S{number}"))
    assert queries(client, reverse("suppliers")) == one


@pytest.mark.thorough
def test_a_supplier_takes_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    alum = factories.material()
    came = factories.delivery(factories.line(alum))
    factories.skin("H0", supplier=came.supplier)
    one = queries(client, reverse("supplier", args=[came.supplier_id]))
    for number in range(1, 30):
        factories.delivery(factories.line(alum))
        factories.skin(f"H{number}", supplier=came.supplier, place=factories.place())
    assert queries(client, reverse("supplier", args=[came.supplier_id])) == one
