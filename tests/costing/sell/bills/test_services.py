"""Bills due later: paid in parts, never more than is left, reversed in order, listed as what I owe."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import BillPayment
from costing.sell.bills import selectors as read, services as bills
from costing.sell.expenses import services as expenses
from inventory.errors import Refused
from inventory.ledger import services as ledger
from tests.factories import DAY, delivery, line, material
from tests.inventory.pages import text

pytestmark = pytest.mark.django_db
D = Decimal
DUE = DAY + timedelta(days=20)


def test_a_delivery_due_later_is_owed_until_it_is_paid() -> None:
    came = delivery(line(material("SALT")), carriage="2.40", due_on=DUE)
    assert (read.payables(DAY).total, read.payables(DAY).late) == (14, 0)
    bills.pay(amount=D(5), on=DAY + timedelta(days=1), how="card", delivery=came)
    assert read.payables(DAY).total == 14, "not paid yet on that day"
    found = read.payables(DUE + timedelta(days=3))
    assert (found.total, found.late, found.open[0].days_late) == (9, 9, 3)
    bills.pay(amount=D(9), on=DUE, delivery=came)
    assert read.payables(DUE).open == []


def test_no_more_is_paid_than_is_left_nor_before_it_came() -> None:
    cost = expenses.spend(kind="rent", amount=D(150), on=DAY, due_on=DUE)
    with pytest.raises(Refused, match="Pay at most that"):
        bills.pay(amount=D(151), on=DUE, expense=cost)
    with pytest.raises(Refused, match="nothing was paid on it"):
        bills.pay(amount=D(1), on=DAY - timedelta(days=1), expense=cost)
    with pytest.raises(Refused, match="no bill due later"):
        bills.pay(amount=D(1), on=DUE, expense=expenses.spend(kind="rent", amount=D(1), on=DAY))
    with pytest.raises(Refused, match="no bill due later"):
        bills.pay(amount=D(1), on=DUE)
    assert not BillPayment.objects.exists()


def test_what_is_paid_is_reversed_before_its_bill() -> None:
    came = delivery(line(material("SALT")), due_on=DUE)
    cost = expenses.spend(kind="rent", amount=D(150), on=DAY, due_on=DUE)
    paid = [bills.pay(amount=D(1), on=DUE, delivery=came), bills.pay(amount=D(1), on=DUE, expense=cost)]
    with pytest.raises(Refused, match=r"1\.00 is paid on this bill"):
        ledger.reverse(posting=came.posting, reason="never came")
    with pytest.raises(Refused, match=r"1\.00 is paid on this bill"):
        expenses.reverse(expense=cost)
    for row in paid:
        bills.reverse(payment=row)
        with pytest.raises(Refused, match="reversed already"):
            bills.reverse(payment=row)
    ledger.reverse(posting=came.posting, reason="never came")
    expenses.reverse(expense=cost)
    assert read.payables(date.max).open == []


def test_a_bill_is_paid_on_its_page_once_though_sent_twice(client: Client) -> None:
    came = delivery(line(material("SALT")), due_on=DUE, ref="A-1")
    assert "A-1" in text(client.get(reverse("payables")))
    address = f"{reverse('bill_pay')}?delivery={came.pk}"
    assert client.get(address).context["form"]["amount"].value() is not None
    for _ in range(2):
        client.post(address, {"amount": "11.60", "how": "card", "on": DUE.isoformat(), "request_key": "k1"})
    assert [(row.amount, row.how) for row in BillPayment.objects.all()] == [(D("11.60"), "card")]
    row = BillPayment.objects.get()
    client.post(reverse("bill_payment_reverse", args=[row.pk]), {"on": DUE.isoformat(), "request_key": "k2"})
    assert sum(each.amount for each in BillPayment.objects.all()) == 0
    assert client.get(f"{reverse('bill_pay')}?delivery=999").status_code == 404
