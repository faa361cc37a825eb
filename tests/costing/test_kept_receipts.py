"""A receipt keeps whom it names, also one that was written before receipts did."""

from __future__ import annotations

from decimal import Decimal
from importlib import import_module

import pytest
from django.apps import apps

from costing.models import Payment
from costing.services import payments
from costing.services.selling import Paid
from inventory.services import workshop
from tests import factories as make

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
