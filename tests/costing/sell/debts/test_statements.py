"""Statements of account: every charge and what settled it, and a closing balance that is what the papers say."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse

from costing.models import Customer, Sale
from costing.sell.debts.statements import selectors as statements
from costing.sell.debts.write_offs import services as write_offs
from costing.sell.expenses import services as expenses
from costing.sell.payments import selectors as money, services as payments
from costing.sell.sales.credits import services as credits
from inventory.base.accounting import services as workshop
from inventory.money import ZERO
from tests import factories as make
from tests.factories import DAY, days_from, item
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def busy() -> Customer:
    """Two invoices, one with all that may settle it, and a deposit; somebody else has a paper, too."""
    who = make.customer()
    first = make.sale(item(None, 100), customer=who, on=day(1))
    second = make.sale(item(None, 60), customer=who, on=day(5))
    credits.credit(sale=first, on=day(6), reason="scratched", amounts={first.lines.get().pk: D(10)})
    wrong = payments.receive(sale=first, amount=D(50), on=day(7))
    payments.reverse(payment=wrong, on=day(8))
    payments.receive(sale=first, amount=D(20), on=day(9), how="bank")
    expenses.spend(kind="fee", amount=D(5), on=day(9), sale=first, withheld=True)
    write_offs.write_off(sale=first, amount=D(65), on=day(40), reason="gone")
    payments.receive(sale=second, amount=D(25), on=day(41))
    job = make.job("J-02", customer=who, price=80)
    payments.receive(job=job, amount=D(30), on=day(42))
    make.sale(item(None, 7), customer=make.customer("Somebody else"), on=day(5))
    return who


def amounts(found: Any) -> list[tuple[str, Decimal, Decimal]]:
    return [(row.paper, row.charged - row.settled, row.balance) for row in found.rows]


def test_all_of_it_in_order_with_the_balance_after_each() -> None:
    found = statements.account(busy(), date(2025, 1, 1), date(2025, 12, 31))
    assert found.opening == 0
    assert amounts(found) == [
        ("INV-001", 100, 100),
        ("INV-002", 60, 160),
        ("CN-001", -10, 150),
        ("R-001", -50, 100),
        ("R-002", 50, 150),
        ("R-003", -20, 130),
        ("INV-001", -5, 125),
        ("INV-001", -65, 60),
        ("R-004", -25, 35),
        ("R-005", -30, 5),
    ]
    assert found.closing == 5
    assert found.opening + found.charged - found.settled == found.closing


def test_a_period_opens_with_what_was_owed_and_leaves_out_what_came_later() -> None:
    found = statements.account(busy(), day(7), day(40))
    assert (found.opening, len(found.rows), found.closing) == (150, 5, 60)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("nth", [0, 5, 8, 9, 40, 60])
def test_the_closing_balance_is_what_the_papers_say(nth: int) -> None:
    who, on = busy(), day(nth)
    papers = money.settled().filter(customer=who, on__lte=on).exclude(kind=Sale.Kind.CREDIT)
    balances = [money.balance(sale, on) for sale in papers]
    expected = sum((each.left - each.overpaid for each in balances), ZERO) - money.deposits_held(on)
    assert statements.account(who, DAY, on).closing == expected


@pytest.mark.thorough
def test_queries_do_not_grow_with_the_papers() -> None:
    client = signed_in()
    who = make.customer()
    make.sale(item(None, 10), customer=who)
    address = reverse("statement", args=[who.pk])
    few = queries(client, address)
    for _ in range(5):
        payments.receive(sale=make.sale(item(None, 10), customer=who), amount=D(4), on=DAY)
    assert queries(client, address) == few


def test_the_page_the_csv_and_a_period_that_is_none() -> None:
    workshop.pin_today(on=day(60))
    client = signed_in(make.person("bookkeeper"))
    who = busy()
    period = f"?since={day(7)}&until={day(40)}"
    shown = text(client.get(reverse("statement", args=[who.pk]) + period))
    assert "150.00 €" in shown
    assert "60.00 €" in shown
    assert "Written off" in shown
    lines = client.get(reverse("statement_csv", args=[who.pk]) + period).content.decode().splitlines()
    assert lines[0] == "on,paper,what,charged,settled,balance"
    assert lines[1] == f"{day(7)},,Opening balance,0.00,0.00,150.00"
    assert lines[-1] == f"{day(40)},,Closing balance,0.00,0.00,60.00"
    backwards = f"?since={day(40)}&until={day(7)}"
    assert "Enter the first day, then the last" in text(client.get(reverse("statement", args=[who.pk]) + backwards))
    refused = client.get(reverse("statement_csv", args=[who.pk]) + backwards)
    assert refused.status_code != 200 or "Enter the first day" in text(refused)
    assert client.get(reverse("statement_pdf", args=[who.pk]) + period).content.startswith(b"%PDF")
