"""Bills and what was paid on them, opening balances, transfers, kinds of cost and headings come back the same."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path

import pytest

from costing.models import BillPayment, CostKind
from costing.report.cashbook import report as cashbook
from costing.report.year import report as year_report
from costing.sell.accounts import services as accounts
from costing.sell.bills import services as bills
from costing.sell.expenses import services as expenses
from costing.sell.headings import services as headings
from inventory.base.accounting import services as workshop
from tests.factories import DAY, delivery, line, material, skin, work
from tests.workshop.transfer.test_round_trip import passing, round_trip
from workshop.transfer.loading import load

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
D = Decimal


def lived_in() -> None:
    workshop.set_up(name="Here")
    workshop.pin_today(on=date(2025, 12, 31))
    headings.choose_form(form="UK SA103S")
    headings.save_heading(words="Feed and bedding", line="11a")
    headings.save_kind(code="van", name="Van", asks="distance", unit="mi", rate=D("0.45"))
    skin("A", price=12, how="cash")
    work(DAY, 30, tags=["A"], who="Ann Lee", paid=D(4), how="cash")
    came = delivery(line(material("SALT")), due_on=DAY, ref="R1")
    delivery(line(material("ALUM")), how="bank")
    bills.pay(amount=D(5), on=DAY, how="card", delivery=came, note="part")
    bills.reverse(payment=bills.pay(amount=D(2), on=DAY, delivery=came), on=DAY + timedelta(days=1))
    rent = expenses.spend(kind="rent", amount=D(150), on=DAY, due_on=DAY)
    bills.reverse(payment=bills.pay(amount=D(150), on=DAY, expense=rent))
    expenses.reverse(expense=rent)
    expenses.spend(kind="van", on=DAY, distance=D(30))
    expenses.spend(kind="equipment", amount=D(100), on=DAY, life_years=3, how="card")
    expenses.spend(kind="contractor", amount=D(60), on=DAY, person="Ann Lee", due_on=DAY)
    accounts.open_account(account="bank", on=DAY, amount=D("-12.50"))
    accounts.reverse(transfer=accounts.move(amount=D(9), on=DAY, source="cash"), on=DAY + timedelta(days=2))


@pytest.mark.thorough
def test_what_was_paid_and_is_due_comes_back_the_same(tmp_path: Path) -> None:
    before, after = round_trip(lived_in, tmp_path)
    assert before == after
    with passing():
        load(tmp_path / "A")
        assert BillPayment.objects.count() == 5
        assert CostKind.objects.get(code="van").rate == D("0.45")
        closing = {row["account"]: row["closing"] for row in cashbook.at(2025).table("months").rows}
        assert closing == {"Cash": -16, "Bank": D("-24.10"), "Card": -105}
        assert year_report.at(2025).facts["holds"]  # type: ignore[index]
