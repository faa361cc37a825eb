"""Bills, deducted tax and the cash book, spoiled one by one behind the services: each is told in a sentence."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest

from costing.models import BillPayment
from costing.report.audit import selectors as audit
from costing.report.cashbook import rules, selectors as cashbook
from costing.sell.accounts import services as accounts
from costing.sell.bills import services as bills
from costing.sell.expenses import services as expenses
from inventory.base.accounting import services as workshop
from inventory.models import Delivery, DeliveryLine
from tests import factories
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def _paid() -> None:
    """A delivery of 125.50 and a rent of 60.00, each paid in part, one payment reversed."""
    workshop.set_up(deducts_tax=True)
    accounts.open_account(account="bank", on=DAY, amount=D(500))
    alum = factories.line(factories.material("ALUM"), 2, 2, "50.20")
    came = factories.delivery(alum, carriage="25.10", ref="P-1", due_on=DAY, tax_percent=D("25.5"), with_tax=True)
    rent = expenses.spend(kind="rent", amount=D(60), on=DAY, due_on=DAY)
    bills.pay(amount=D(30), on=DAY, delivery=came)
    bills.reverse(payment=bills.pay(amount=D(20), on=DAY, expense=rent), on=DAY + timedelta(days=40))
    bills.pay(amount=D(60), on=DAY + timedelta(days=41), expense=rent)
    assert audit.findings() == []


def more_than_it_came_to() -> None:
    BillPayment.objects.filter(delivery__isnull=False).update(amount=D("125.51"))


def before_it_came() -> None:
    BillPayment.objects.filter(delivery__isnull=False).update(on=DAY - timedelta(days=1))


def of_another_sum() -> None:
    BillPayment.objects.filter(reverses__isnull=False).update(amount=D(-19))


def of_a_line() -> None:
    line = DeliveryLine.objects.get()
    DeliveryLine.objects.update(tax=line.tax + D("0.01"))


def of_the_carriage() -> None:
    Delivery.objects.update(tax=D("5.09"))


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (more_than_it_came_to, "P-1 of 2025-03-04 came to 125.50; 125.51 is paid by 2025-03-04"),
        (before_it_came, "came to 125.50; 30.00 is paid by 2025-03-03"),
        (of_another_sum, "does not reverse exactly"),
        (of_a_line, "Delivery P-1 deducts 25.51 of tax; its prices and rates say 25.50"),
        (of_the_carriage, "Delivery P-1 deducts 25.49 of tax; its prices and rates say 25.50"),
    ],
)
def test_what_was_spoiled_is_found(spoil: Callable[[], None], says: str) -> None:
    spoil()
    assert any(says in line for line in audit.findings())


def test_a_month_that_does_not_follow_on_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    right = rules.balance
    monkeypatch.setattr(rules, "balance", lambda entries, opening, on: right(entries, opening, on) + on.month)
    assert any("opening, in and out do not make the closing" in line for line in audit.findings())


def test_a_balance_carried_into_a_year_that_its_entries_do_not_come_to_is_found(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    right = cashbook.balances
    monkeypatch.setattr(cashbook, "balances", lambda on: {**right(on), "bank": right(on)["bank"] + 1})
    says = "bank: 501.00 is carried forward at the end of 2024-12-31; its entries come to 500.00"
    assert any(says in line for line in audit.findings())
