"""Pages of customers: the list, one with papers and jobs, writing one down, forgetting one."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import Customer
from costing.sell.customers import services as customers
from costing.sell.jobs import services as jobs
from costing.sell.payments import services as payments
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Item
from inventory.base import selectors as shop
from inventory.base.accounting import services as workshop
from tests import factories as make
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
ON = date(2025, 5, 24)

ELLA = {
    "name": "Ella Niittykangas",
    "postal_address": "Kotipolku 3\r\n99990 Utuharju",
    "electronic_address": "ella@example.org",
    "tax_number": "",
    "language": "fi",
    "note": "",
    "request_key": "k",
}


def ella() -> Customer:
    return Customer.objects.first() or customers.write(name="Ella Niittykangas", postal_address="Kotipolku 3")


def invoice(customer: Customer, asked: str = "100", on: date = ON) -> Any:
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")
    return selling.sell(kind="invoice", on=on, items=[Item("other", D(asked), "mending")], customer=customer)


def job(number: str = "J-01", tag: str = "H06") -> Any:
    skin = make.skin(tag, price=0, owner="customer", customer="Ella Niittykangas")
    return jobs.take(number=number, customer=ella(), skin=skin, work="taw", price=D(165), taken_on=make.DAY)


def at(name: str) -> str:
    return reverse(name, args=[ella().pk])


def test_pages_open_for_all_who_are_signed_in(client: Client) -> None:
    for address in (
        reverse("customers"),
        reverse("customer_new"),
        *map(at, ("customer", "customer_edit", "customer_forget")),
    ):
        assert client.get(address).status_code == 200
        for role in ("helper", "bookkeeper"):
            assert signed_in(make.person(role)).get(address).status_code == 200


def test_nobody_yet_says_what_to_do_first(client: Client) -> None:
    page = text(client.get(reverse("customers")))
    assert "No customer yet" in page
    assert reverse("customer_new") in page


def test_a_customer_is_written_down_once_though_sent_twice(client: Client) -> None:
    for _ in range(2):
        answer = client.post(reverse("customer_new"), ELLA)
    row = Customer.objects.get()
    assert answer["location"] == reverse("customer", args=[row.pk])
    assert row.postal_address == "Kotipolku 3\n99990 Utuharju"
    assert "Kotipolku 3<br>99990 Utuharju" in text(client.get(at("customer")))
    assert "Language of their papers</dt><dd>Finnish" in text(client.get(at("customer")))


def test_a_customer_is_changed_and_shown_again(client: Client) -> None:
    ella()
    assert 'value="Ella Niittykangas"' in text(client.get(at("customer_edit")))
    client.post(at("customer_edit"), ELLA | {"name": "Ella Vaaramaa"})
    row = Customer.objects.get()
    assert (row.name, row.electronic_address) == ("Ella Vaaramaa", "ella@example.org")


@pytest.mark.parametrize(
    ("wrong", "field", "said"),
    [
        ({"name": ""}, "name", "required"),
        ({"name": "otso VAARAMAA"}, "name", "is used already"),
        ({"name": "a\x07"}, "name", "control character"),
        ({"language": "xx"}, "language", "xx"),
        ({"postal_address": "x" * 201}, "postal_address", "at most 200"),
    ],
)
def test_a_wrong_customer_is_refused_beside_its_box(
    client: Client, wrong: dict[str, str], field: str, said: str
) -> None:
    customers.write(name="Otso Vaaramaa")
    answer = client.post(reverse("customer_new"), ELLA | wrong)
    assert said in answer.context["form"].errors[field][0]
    assert Customer.objects.count() == 1


def test_a_customer_shows_papers_jobs_what_they_owe_and_what_is_held(client: Client) -> None:
    sale, other = invoice(ella()), invoice(ella(), "30")
    payments.receive(sale=sale, amount=D(40), on=ON)
    credits.credit(sale=other, on=ON, reason="sent back")
    payments.receive(job=job(), amount=D(66), on=ON)
    page = text(client.get(at("customer")))
    for number in ("INV-001", "INV-002", "CN-001"):
        assert reverse("sale", args=[number]) in page
    assert reverse("job", args=["J-01"]) in page
    for figure in ("Owes</dt><dd>60.00 €", "Deposits held</dt><dd>66.00 €", "Billed in total</dt><dd>100.00 €"):
        assert figure in page
    assert f"{reverse('job_new')}?customer={ella().pk}" in page


@pytest.mark.thorough
def test_a_paper_past_its_day_is_marked_late(client: Client) -> None:
    sale = invoice(ella(), on=shop.today())
    assert ">late<" not in text(client.get(at("customer")))
    sale.due_on = shop.today() - timedelta(days=1)
    sale.save(update_fields=["due_on"])
    assert ">late<" in text(client.get(at("customer")))


def test_a_customer_without_papers_is_forgotten(client: Client) -> None:
    make.skin("H06", price=0, owner="customer", customer="ella niittykangas")
    address = at("customer_forget")
    page = text(client.get(address))
    assert "The name is written on H06 too" in page
    assert client.post(address, {"request_key": "k"})["location"] == reverse("customers")
    assert not Customer.objects.exists()
    assert client.get(address).status_code == 404


def test_a_customer_with_papers_is_not_forgotten_and_the_page_says_why(client: Client) -> None:
    invoice(ella())
    page = text(client.get(at("customer_forget")))
    assert "INV-001 name this customer. Papers have to be kept" in page
    assert at("customer_edit") in page
    refused = text(client.post(at("customer_forget"), {"request_key": "k"}))
    assert "is named on INV-001" in refused
    assert Customer.objects.exists()


def test_a_stranger_to_every_role_writes_nothing() -> None:
    address, new, forget = at("customer_edit"), reverse("customer_new"), at("customer_forget")
    client = signed_in(make.person("gardener"))
    for where in (address, new, forget):
        assert client.post(where, ELLA | {"name": "Otso"}).status_code == 403
    assert at("customer_edit") not in text(client.get(at("customer")))
    assert Customer.objects.get().name == "Ella Niittykangas"


def test_the_list_finds_by_name_and_address_and_says_what_each_owes(client: Client) -> None:
    invoice(ella())
    customers.write(name="Otso Vaaramaa", postal_address="Lehtopolku 1")
    assert "100.00 €" in text(client.get(reverse("customers"), {"words": "kotipolku"}))
    page = text(client.get(reverse("customers"), {"words": "lehto"}))
    assert "Otso Vaaramaa" in page
    assert "Ella" not in page


@pytest.mark.thorough
@pytest.mark.slow
def test_the_list_and_a_customer_take_as_many_queries_for_thirty_rows_as_for_one(client: Client) -> None:
    invoice(ella())
    job()
    one, page = queries(client, reverse("customers")), queries(client, at("customer"))
    for number in range(29):
        customers.write(name=f"Otso {number}")
        invoice(ella())
        job(f"J-1{number}", f"K{number}")
    assert queries(client, reverse("customers")) == one
    assert queries(client, at("customer")) == page
