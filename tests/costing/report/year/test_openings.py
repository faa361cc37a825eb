"""What the old books had: debtors, deposits held and pieces are no sale, no purchase and no money of these."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from costing.make.cost.rates import services as rates
from costing.make.finishing.openings import services as openings
from costing.report.audit import selectors as audit
from costing.report.cashbook import selectors as cashbook
from costing.report.disposals import selectors as disposals
from costing.report.tax import selectors as taxes
from costing.report.tax.rules import period
from costing.report.year import report as year_report, selectors as years
from costing.report.year.profit import selectors as profit
from costing.sell.debts.statements import selectors as statements
from costing.sell.payments import services as payments
from costing.sell.payments.debtors import services as debtors
from costing.sell.sales.models import Sale
from inventory.base.accounting import services as workshop
from tests import factories

pytestmark = pytest.mark.django_db
D = Decimal
YEAR = (date(2025, 1, 1), date(2025, 12, 31))


@pytest.fixture(autouse=True)
def _moved_in() -> None:
    """Books that begin on 1 March: a debtor of January, a deposit of 40.00 and a rug of 60.00."""
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1", deducts_tax=True)
    workshop.pin_today(on=date(2025, 3, 1))
    rates.set_rates(vat_percent=D("25.5"))
    factories.registered(deposit_tax=True, turnover_limit=D(1000))
    lee = factories.customer("Lee")
    debtors.take_over(number="OLD-7", on=date(2025, 1, 20), customer=lee, amount=D("125.50"), tax_percent=D("25.5"))
    work = factories.job(price="251.00", on=date(2025, 3, 1), customer=lee)
    payments.receive(job=work, amount=D("40.00"), on=date(2025, 3, 1), opening=True)
    openings.take_over(piece=factories.piece("RUG1"), species="Sheep", cost=D(60), on=date(2025, 3, 1), minutes=D(120))


def test_no_opening_is_a_sale_or_a_purchase_of_the_year() -> None:
    span = period("2025")
    assert (taxes.sold(span), taxes.deposits(span), taxes.bought(span)) == ([], [], [])
    assert cashbook.entries() == []
    standing = years.against_limit(date(2025, 12, 31))
    assert standing is not None
    assert standing.turnover == 0
    assert year_report.lines(2025) == []
    assert disposals.summed(*YEAR) == []
    year = profit.year(2025)
    assert (year.turnover, year.received, year.stock.skins, year.stock_profit, year.cash_profit) == (0, 0, 0, 0, 0)
    assert (year.bridge.miss, year.unaccounted) == (0, 0)
    assert audit.findings() == []


def test_statement_begins_with_what_was_owed_and_held() -> None:
    found = statements.account(factories.customer("Lee"), date(2025, 3, 2), date(2025, 12, 31))
    assert (found.opening, found.closing) == (D("85.50"), D("85.50"))


def test_what_comes_of_it_since_is_money_and_no_turnover() -> None:
    payments.receive(sale=Sale.objects.get(kind="opening"), amount=D("125.50"), on=date(2025, 4, 1), how="bank")
    year = profit.year(2025)
    assert (year.turnover, year.received, year.bridge.miss) == (0, D("100.00"), 0)
    assert [row.amount for row in cashbook.entries()] == [D("125.50")]
    assert taxes.sold(period("2025")) == []
    assert audit.findings() == []
