"""A receipt keeps whom it names, also one that was written before receipts did."""

from __future__ import annotations

from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps

from costing.models import Payment
from costing.sell.customers import services as customers
from costing.sell.jobs import services as jobs
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from inventory.base.accounting import services as workshop
from tests import factories as make
from workshop.documents.records import invoices

pytestmark = pytest.mark.django_db


def test_receipts_that_stood_before_keep_what_their_sale_says_or_else_the_workshop_as_it_is() -> None:
    sold = make.sale(make.article(), customer=make.customer(), paid=[Paid()])
    payments.receive(job=make.job(finished=False), amount=Decimal(20), on=make.DAY)
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="New Road 9, Utuharju")
    Payment.objects.update(seller={}, buyer={})
    import_module("costing.migrations.0004_kept_receipts_and_given_up_jobs").keep_parties(apps, None)
    paid, deposit = Payment.objects.get(sale=sold), Payment.objects.get(job__isnull=False)
    assert (paid.seller, paid.buyer) == (sold.seller, sold.buyer)
    assert paid.seller["address"] == "Lane 1, Utuharju"
    assert deposit.seller["name"] == "K. Person, Utuharju Hides"
    assert deposit.seller["address"] == "New Road 9, Utuharju"
    assert (deposit.buyer["name"], deposit.buyer["address"]) == ("Ann Hill", "Hill Road 1")


def test_a_receipt_keeps_seller_and_buyer_as_they_were_when_it_was_written() -> None:
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1, Utuharju")
    job = make.job(finished=False)
    deposit = payments.receive(job=job, amount=Decimal(20), on=make.DAY)
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="New Road 9, Utuharju")
    customers.write(customer=job.customer, name="Ann Vale", postal_address="Vale 2")
    deposit.refresh_from_db()
    assert (deposit.seller["address"], deposit.buyer["name"]) == ("Lane 1, Utuharju", "Ann Hill")
    paper = invoices.receipt(deposit)
    assert (paper.seller.address, paper.buyer.name) == ("Lane 1, Utuharju", "Ann Hill")
    back = payments.reverse(payment=deposit)
    assert (back.seller["address"], back.buyer["name"]) == ("New Road 9, Utuharju", "Ann Vale")


def test_a_deposits_receipt_keeps_the_work_and_the_price_that_were_agreed_then() -> None:
    job = make.job(finished=False, price=100)
    deposit = payments.receive(job=job, amount=Decimal(20), on=make.DAY)
    said = invoices.receipt(deposit).what_for
    jobs.change(job=job, work="rawhide instead", price=Decimal(60), deposit=Decimal(20))
    deposit = Payment.objects.get()
    paper = invoices.receipt(deposit)
    assert (paper.what_for, paper.balance) == (said, 80)
    back = payments.refund(job=job, amount=Decimal(5), on=make.DAY)
    assert "rawhide instead" in invoices.receipt(back).what_for


def test_a_payment_of_an_invoice_names_whom_it_was_paid_to_that_day() -> None:
    sold = make.sale(make.article(), customer=make.customer())
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="New Road 9, Utuharju")
    paid = payments.receive(sale=sold, amount=Decimal(100), on=make.DAY)
    assert (sold.seller["address"], paid.seller["address"]) == ("Lane 1, Utuharju", "New Road 9, Utuharju")
