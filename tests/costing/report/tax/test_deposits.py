"""Tax that falls due with a deposit: whose it is not, what its receipt says, and what undoes it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from costing.make.cost.rates import services as rates
from costing.models import Job
from costing.report.audit import selectors as audit
from costing.report.tax import selectors as taxes
from costing.report.tax.rules import period
from costing.report.year.profit import selectors as profit
from costing.sell.debts.write_offs import services as write_offs
from costing.sell.payments import selectors as owing, services as payments
from costing.sell.sales.credits import services as credits
from inventory.base.accounting import services as workshop
from tests import factories
from workshop.documents.records import invoices as papers

pytestmark = pytest.mark.django_db
D = Decimal


def on(month: int, day: int) -> date:
    return date(2025, month, day)


@pytest.fixture(autouse=True)
def _registered() -> None:
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1")
    rates.set_rates(vat_percent=D("25.5"))
    factories.registered(prices_with_tax=True, deposit_tax=True)


def tax(month: int) -> Decimal:
    """All tax on sales and deposits of a month."""
    span = period(f"2025-{month:02}")
    rows = [*(row.total for row in taxes.sold(span)), *taxes.deposits(span)]
    return sum((row.tax for row in rows), D(0))


def work(relief: str = "") -> Job:
    buyer = factories.customer("Lee", relief=relief)
    return factories.job(price="251.00", on=on(2, 1), customer=buyer)


def test_exempt_customer_pays_no_tax_with_a_deposit() -> None:
    job = work("resale certificate 7")
    paid = payments.receive(job=job, amount=D("100.40"), on=on(2, 10))
    assert paid.tax_percent is None
    assert tax(2) == 0
    factories.sale(job, asked="251.00", on=on(3, 1), customer=job.customer)
    assert tax(3) == 0


def test_money_paid_back_takes_its_tax_back_although_the_customer_is_exempt_since() -> None:
    job = work()
    payments.receive(job=job, amount=D("100.40"), on=on(2, 10))
    job.customer.relief = "resale certificate 7"
    job.customer.save()
    payments.refund(job=job, amount=D("100.40"), on=on(3, 3))
    assert (tax(2), tax(3)) == (D("20.40"), D("-20.40"))


def test_deposit_of_the_old_books_bears_no_tax() -> None:
    job = work()
    paid = payments.receive(job=job, amount=D("100.40"), on=on(2, 10), opening=True)
    assert paid.tax_percent is None
    assert tax(2) == 0
    factories.sale(job, asked="251.00", on=on(3, 1), customer=job.customer)
    assert tax(3) == D("51.00")


def test_receipt_of_a_deposit_says_its_tax() -> None:
    paid = payments.receive(job=work(), amount=D("100.40"), on=on(2, 10))
    receipt = papers.receipt(paid)
    assert (receipt.rate, receipt.tax) == (D("25.5"), D("20.40"))
    factories.registered(deposit_tax=False)
    other = payments.receive(job=factories.job("J-02", price=100, on=on(2, 1)), amount=D(10), on=on(2, 11))
    assert papers.receipt(other).tax is None


def test_reversal_bad_debt_and_credit_leave_each_tax_once() -> None:
    job = work()
    twice = payments.receive(job=job, amount=D("50.20"), on=on(2, 9))
    payments.reverse(payment=twice, on=on(3, 9))
    payments.receive(job=job, amount=D("100.40"), on=on(2, 10))
    assert (tax(2), tax(3)) == (D("30.60"), D("-10.20"))
    bill = factories.sale(job, asked="251.00", on=on(4, 1), customer=job.customer)
    assert tax(4) == D("30.60")
    lost = write_offs.write_off(sale=bill, amount=D("150.60"), on=on(5, 1), reason="gone")
    assert tax(5) == 0
    write_offs.reverse(write_off=lost, on=on(6, 1))
    assert tax(6) == 0
    credits.credit(sale=bill, on=on(7, 1), reason="redone")
    assert tax(7) == D("-30.60")  # the deposit is held again, and so is its tax
    payments.refund(job=Job.objects.get(), amount=D("100.40"), on=on(8, 1))
    assert tax(8) == D("-20.40")
    assert sum(map(tax, range(1, 13))) == 0
    assert audit.findings() == []


def test_tax_that_fell_due_is_no_money_received_in_the_year_of_the_deposit_or_of_the_bill() -> None:
    job = work()
    payments.receive(job=job, amount=D("100.40"), on=on(12, 10))
    bill = factories.sale(job, asked="251.00", on=date(2026, 1, 8), customer=job.customer)
    payments.receive(sale=bill, amount=D("150.60"), on=date(2026, 1, 9))
    years = [profit.year(number) for number in (2025, 2026)]
    assert [year.received for year in years] == [D("80.00"), D("120.00")]
    assert [year.deposits for year in years] == [D("80.00"), 0]
    assert [year.bridge.miss for year in years] == [0, 0]
    assert owing.deposits_held(on(12, 31)) == D("100.40")  # all of it would be paid back
