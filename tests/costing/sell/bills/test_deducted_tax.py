"""Bills of a maker who deducts tax, paid late in parts over a year's end: money moves with its tax, profit counts without."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from costing.make.cost.rates import services as rates
from costing.models import Expense
from costing.report.audit import selectors as audit
from costing.report.cashbook import selectors as cashbook
from costing.report.cashbook.rules import balance, months
from costing.report.tax import selectors as taxes
from costing.report.tax.rules import period
from costing.report.year.profit import selectors as profit
from costing.sell.accounts import services as accounts
from costing.sell.bills import selectors as bills, services as paying
from costing.sell.expenses import services as expenses
from inventory.base.accounting import services as workshop
from inventory.deliveries import services as deliveries
from inventory.deliveries.corrections import services as corrections
from inventory.ledger import services as ledger
from inventory.models import Delivery, Kind
from tests import factories

pytestmark = pytest.mark.django_db
D = Decimal
TAXED: dict[str, Any] = {"tax_percent": D("25.5"), "with_tax": True}


@pytest.fixture(autouse=True)
def _maker() -> None:
    """1000.00 in the bank on the first day."""
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1", deducts_tax=True)
    rates.set_rates(vat_percent=D("25.5"))
    factories.registered(prices_with_tax=True)
    accounts.open_account(account="bank", on=date(2025, 1, 1), amount=D(1000))


def goods(*, due: bool = True) -> Delivery:
    """62.75 with tax: 50.00 and 12.75."""
    lines = [factories.line(factories.material("ALUM"), 1, 10, "50.20")]
    how: dict[str, Any] = {"due_on": date(2026, 1, 15)} if due else {"how": "bank"}
    return deliveries.record(
        supplier=factories.supplier(), on=date(2025, 12, 1), lines=lines, carriage=D("12.55"), **TAXED, **how
    )


def cost(kind: str = "overhead", **details: Any) -> Expense:
    """25.10 with tax: 20.00 and 5.10."""
    return expenses.spend(
        kind=kind, amount=D("25.10"), on=date(2025, 12, 2), due_on=date(2026, 1, 15), **TAXED, **details
    )


def in_two_parts(**of: Any) -> None:
    """10.00 in the old year and the rest in the new one."""
    paying.pay(amount=D("10.00"), on=date(2025, 12, 20), **of)
    left = next(row.left for row in bills.payables(date.max).open if of_bill(row.bill, **of))
    paying.pay(amount=left, on=date(2026, 1, 10), **of)


def of_bill(bill: bills.Bill, delivery: Delivery | None = None, expense: Expense | None = None) -> bool:
    return bill.delivery == delivery.pk if delivery else bool(expense) and bill.expense == expense.pk


def in_bank(day: date) -> Decimal:
    rows = [row for row in cashbook.entries() if row.account == "bank"]
    return balance(rows, cashbook.openings()["bank"], day)


def deducted(month: str) -> Decimal:
    return sum((row.tax for row in taxes.bought(period(month))), D(0))


def holds() -> None:
    """What is true of any books: no bridge misses, each month of the cash book adds up, the checks find nothing."""
    for number in (2025, 2026):
        year = profit.year(number)
        assert (year.bridge.miss, year.unaccounted) == (0, 0), number
        rows = [row for row in cashbook.entries() if row.account == "bank"]
        for each in months("bank", rows, cashbook.openings()["bank"], number):
            assert each.closing == each.opening + each.money_in - each.money_out
    assert audit.findings() == []


def test_bills_are_paid_with_their_tax_and_counted_without() -> None:
    came, spent = goods(), cost()
    assert bills.payables(date(2025, 12, 2)).total == D("87.85")
    in_two_parts(delivery=came)
    assert bills.payables(date(2025, 12, 31)).total == D("77.85")
    in_two_parts(expense=spent)
    assert bills.payables(date(2025, 12, 31)).total == D("67.85")
    assert bills.payables(date(2026, 1, 10)).open == []
    assert (in_bank(date(2025, 12, 31)), in_bank(date(2026, 1, 31))) == (D("980.00"), D("912.15"))
    assert (deducted("2025-12"), deducted("2026")) == (D("17.85"), 0)
    old, new = profit.year(2025), profit.year(2026)
    # 10.00 x 50 / 62.75 = 7.97, and 10.00 x 20 / 25.10 = 7.97
    assert (old.paid[0].materials, old.paid[2]) == (D("7.97"), D("7.97"))
    assert (new.paid[0].materials, new.paid[2]) == (D("42.03"), D("12.03"))
    assert old.unpaid[1] == D("70.00") - 2 * D("7.97")
    assert new.unpaid[1] == 0
    holds()


def correct(came: Delivery, on: date) -> None:
    factories.take(came.lines.get().movement.material, 4, date(2025, 12, 10), Kind.SPOILED)
    corrections.correct(delivery=came, on=on, reason="the rest never came")


def reverse(came: Delivery, on: date) -> None:
    ledger.reverse(posting=came.posting, on=on, reason="twice")


def correct_and_put_back(came: Delivery, on: date) -> None:
    undone = corrections.correct(delivery=came, on=on, reason="never came")
    ledger.reverse(posting=undone, on=on, reason="it came")


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("undo", [correct, reverse, correct_and_put_back])
@pytest.mark.parametrize("due", [True, False])
@pytest.mark.parametrize("day", [date(2025, 12, 28), date(2026, 2, 1)])
def test_books_hold_when_goods_are_taken_out_again(
    undo: Callable[[Delivery, date], None], due: bool, day: date
) -> None:
    came = goods(due=due)
    if due and undo is not reverse:
        in_two_parts(delivery=came)
    undo(came, day)
    holds()
    kept = {correct: D("0.00"), reverse: D("0.00"), correct_and_put_back: D("12.75")}[undo]
    assert deducted("2025") + deducted("2026") == kept


def test_books_hold_when_a_cost_is_reversed_after_its_payment_was() -> None:
    spent = cost()
    paid = paying.pay(amount=D("10.00"), on=date(2025, 12, 20), expense=spent)
    paying.reverse(payment=paid, on=date(2026, 1, 3))
    expenses.reverse(expense=spent, on=date(2026, 1, 4))
    assert (deducted("2025-12"), deducted("2026-01")) == (D("5.10"), D("-5.10"))
    assert in_bank(date(2026, 1, 31)) == D("1000.00")
    holds()


def test_equipment_is_written_off_without_its_deducted_tax() -> None:
    spent = cost("equipment", life_years=2)
    in_two_parts(expense=spent)
    for number in (2025, 2026):
        [row] = profit.year(number).spent.equipment
        assert (row.written_off.price, row.written_off.share) == (D("20.00"), D("10.00"))
    assert in_bank(date(2026, 1, 31)) == D("974.90")
    holds()
