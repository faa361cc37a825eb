"""Customers: written once by name, found again, forgotten only while no paper names them; what they owe."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from costing.models import Customer, Job, Sale
from costing.sell.customers import selectors as read, services as customers
from costing.sell.jobs import services as jobs
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales import services as selling
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused, Taken
from tests import factories as make
from tests.at_once import together

pytestmark = pytest.mark.django_db
D = Decimal
ON = date(2025, 5, 24)


def ella(**more: Any) -> Customer:
    return customers.write(name="Ella Niittykangas", postal_address="Kotipolku 3, 99990 Utuharju", **more)


def job_for(customer: Customer, tag: str = "H06", number: str = "J-01") -> Job:
    skin = make.skin(tag, price=0, owner="customer", customer=customer.name)
    return jobs.take(number=number, customer=customer, skin=skin, work="taw", price=D(165), taken_on=make.DAY)


def invoice(customer: Customer, asked: str = "12.90", on: date = ON, paid: str = "") -> Sale:
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")
    items = [Item("other", D(asked), "mending")]
    return selling.sell(kind="invoice", on=on, items=items, customer=customer, paid=[Paid(D(paid))] if paid else [])


def test_a_customer_is_kept_as_written() -> None:
    row = ella(electronic_address="ella@example.org", tax_number="1", note="rings in the evening")
    row.refresh_from_db()
    assert (row.name, row.postal_address) == ("Ella Niittykangas", "Kotipolku 3, 99990 Utuharju")
    assert (row.electronic_address, row.tax_number, row.note) == ("ella@example.org", "1", "rings in the evening")


def test_the_language_of_their_papers_stays_when_they_are_named_again() -> None:
    assert ella(language="fi").language == "fi"
    assert customers.named(name="ella niittykangas", postal_address="Rantatie 1").language == "fi"
    with pytest.raises(Refused, match="choose one of en, fi") as refusal:
        customers.write(name="Otso", language="xx")
    assert refusal.value.field == "language"


def test_a_country_is_kept_in_two_letters_and_stays_when_a_job_names_the_customer_again() -> None:
    assert ella(country=" fi ").country == "FI"
    customers.named(name="ella niittykangas", electronic_address="ella@example.org")
    assert Customer.objects.get().country == "FI"
    with pytest.raises(Refused, match="“Suomi” is not a country's code") as refusal:
        customers.write(name="Ella the second", country="Suomi")
    assert refusal.value.field == "country"


def test_an_address_keeps_the_lines_of_a_text_box() -> None:
    row = customers.write(name="Ella", postal_address="Kotipolku 3\r\n99990 Utuharju")
    assert row.postal_address == "Kotipolku 3\n99990 Utuharju"


@pytest.mark.parametrize("name", ["", "  ", "a\x07", "x" * 81])
def test_a_name_that_cannot_be_is_refused_beside_its_box(name: str) -> None:
    with pytest.raises(Refused) as refusal:
        customers.write(name=name)
    assert refusal.value.field == "name"
    assert not Customer.objects.exists()


def test_a_name_is_taken_in_any_spelling_but_by_itself() -> None:
    row = ella()
    with pytest.raises(Taken, match="is used already"):
        customers.write(name="ella NIITTYKANGAS")
    assert customers.write(name="ella niittykangas", customer=row).name == "ella niittykangas"


def test_a_change_leaves_the_issued_paper_as_it_was() -> None:
    row = ella()
    sale = invoice(row)
    customers.write(name="Ella Vaaramaa", customer=row)
    sale.refresh_from_db()
    assert sale.buyer["name"] == "Ella Niittykangas"


def test_the_same_form_twice_writes_one_customer() -> None:
    first = ella(request_key="k")
    assert ella(request_key="k") == first
    assert Customer.objects.count() == 1


def test_a_customer_named_again_is_the_same_and_loses_nothing_that_is_known() -> None:
    row = ella(note="rings in the evening", tax_number="1")
    again = customers.named(name="ella niittykangas", electronic_address="ella@example.org")
    assert again == row
    assert (again.name, again.postal_address) == ("Ella Niittykangas", "Kotipolku 3, 99990 Utuharju")
    assert (again.electronic_address, again.note, again.tax_number) == ("ella@example.org", "rings in the evening", "1")


def test_a_customer_named_for_the_first_time_is_written_down() -> None:
    row = customers.named(name=" Otso Vaaramaa ", postal_address="Lehtopolku 1")
    assert (row.name, row.postal_address) == ("Otso Vaaramaa", "Lehtopolku 1")


def test_a_customer_without_papers_is_forgotten() -> None:
    customers.remove(customer=ella())
    assert not Customer.objects.exists()


def test_forgetting_one_who_is_forgotten_already_is_no_fault() -> None:
    row = ella()
    customers.remove(customer=Customer.objects.get(pk=row.pk))
    customers.remove(customer=row)


def test_a_customer_with_papers_stays_and_the_refusal_names_them() -> None:
    row = ella()
    job = job_for(row)
    payments.receive(job=job, amount=D(66), on=ON)
    invoice(row)
    with pytest.raises(Refused, match=r"is named on J-01, INV-001, R-001\. Papers have to be kept"):
        customers.remove(customer=row)
    assert Customer.objects.filter(pk=row.pk).exists()


def test_a_refusal_of_many_papers_counts_the_rest() -> None:
    row = ella()
    for number in range(5):
        job_for(row, f"K{number}", f"J-0{number}")
    assert customers.papers_of(row) == "J-00, J-01, J-02 and 2 more"


def test_who_may_write_and_forget() -> None:
    row = ella()
    for role in ("helper", "bookkeeper"):
        assert customers.write(name="Ella", customer=row, by=make.person(role)).name == "Ella"
    stranger = make.person("gardener")
    for act in (
        lambda: customers.write(name="Otso", by=stranger),
        lambda: customers.named(name="Otso", by=stranger),
        lambda: customers.remove(customer=row, by=stranger),
    ):
        with pytest.raises(NotAllowed):
            act()
    assert list(Customer.objects.values_list("name", flat=True)) == ["Ella"]


def test_the_list_tells_jobs_and_papers_each_by_itself() -> None:
    row = ella()
    for number in range(2):
        job_for(row, f"K{number}", f"J-0{number}")
    for _ in range(3):
        invoice(row)
    customers.write(name="Otso Vaaramaa")
    assert list(read.listed().values_list("name", "job_count", "sale_count")) == [
        ("Ella Niittykangas", 2, 3),
        ("Otso Vaaramaa", 0, 0),
    ]


def test_what_a_customer_owes_is_what_is_left_of_their_papers_on_the_day() -> None:
    row, other = ella(), customers.write(name="Otso", postal_address="Lehtopolku 1")
    invoice(row, "100", paid="40")
    invoice(row, "12.90")
    invoice(other, "7", on=date(2025, 6, 1))
    assert read.owed_by([row, other], ON) == {row.pk: D("72.90")}
    assert read.owed_by([row, other], date(2025, 6, 1)) == {row.pk: D("72.90"), other.pk: D(7)}
    assert [paper.number for paper in read.papers_of(row)] == ["INV-002", "INV-001"]
    assert read.billed(row) == D("112.90")


def test_deposits_of_a_customer_are_those_of_jobs_not_handed_over() -> None:
    row = ella()
    payments.receive(job=job_for(row), amount=D(66), on=ON)
    assert read.deposits_of(row) == D(66)


@pytest.mark.usefixtures("shared_database")
def test_of_two_who_write_one_name_down_at_once_one_is_told() -> None:
    answers = together(*[ella] * 2)
    assert sorted(type(answer).__name__ for answer in answers) == ["Customer", "Taken"]
    assert Customer.objects.count() == 1
