"""A maker who uses all of it at once: bills due, deducted tax, barter, tips, bad debts, reminders, what the old books had, first in
first out from a day on, in US English. All of it comes back: the same files, the same results, tax report and cash book."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from costing.make.cost.rates import services as rates
from costing.make.finishing.openings import services as openings
from costing.models import Job
from costing.report.audit import selectors as audit
from costing.report.cashbook import report as cashbook
from costing.report.tax import report as tax_report
from costing.report.tax.rules import period
from costing.report.year import report as year_report
from costing.sell.accounts import services as accounts
from costing.sell.bills import services as bills
from costing.sell.debts.reminders import services as reminders
from costing.sell.debts.write_offs import services as write_offs
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.headings import services as headings
from costing.sell.payments import services as payments
from costing.sell.payments.barter import services as barter
from costing.sell.payments.debtors import services as debtors
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels import services as channels
from costing.sell.sales.credits import services as credits
from costing.sell.sales.numbering import services as numbering
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from inventory.deliveries.corrections import services as corrections
from inventory.models import Kind
from tests import factories as make
from tests.workshop.transfer.test_round_trip import passing, round_trip
from workshop.reports import answers
from workshop.transfer.loading import load

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
D = Decimal
TAXED: dict[str, Any] = {"tax_percent": D("25.5"), "with_tax": True}


def on(month: int, day: int, year: int = 2025) -> date:
    return date(year, month, day)


def lived_in() -> None:
    workshop.pin_today(on=on(3, 1))
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1", deducts_tax=True, locale="en-US")
    rates.set_rates(vat_percent=D("25.5"), wage_per_hour=D(16))
    make.registered(prices_with_tax=True, deposit_tax=True, late_interest_percent=D(8))
    headings.choose_form(form="UK SA103S")
    headings.save_kind(code="van", name="Van", asks="distance", unit="mi", rate=D("0.45"))
    accounts.open_account(account="bank", on=on(3, 1), amount=D(500))
    card = channels.save(name="Card", fee_percent=D("2.5"), fee_fixed=D("0.10"), fixed_cost=D(0))
    _old_books()
    _bought()
    lee, reseller = make.customer("Lee"), make.customer("Moor", relief="resale certificate 7")
    make.sale(
        make.article("A1", on=on(3, 5)),
        Item("tip", D("3.33")),
        asked="125.50",
        on=on(4, 1),
        channel=card,
        spent=[Cost("fee")],
        paid=[Paid(how="card")],
    )
    trade = make.sale(make.article("A2", on=on(3, 5)), asked="100.40", on=on(4, 2), customer=lee)
    barter.trade(sale=trade, amount=D("100.40"), on=on(4, 3), words="photos", kind="overhead", tax_percent=D("25.5"))
    first, second = (
        make.job(f"J-0{n}", price="251.00", on=on(4, 4), customer=who) for n, who in ((1, lee), (2, reseller))
    )
    for job in (first, second):
        payments.receive(job=job, amount=D("100.40"), on=on(4, 5), how="bank")
    payments.refund(job=first, amount=D("10.40"), on=on(4, 6), how="bank")
    bill = make.sale(first, asked="251.00", on=on(5, 1), customer=lee)
    make.sale(second, asked="200.00", on=on(5, 1), customer=reseller)
    reminders.remind(sale=bill, on=on(7, 1), tone="firm")
    write_offs.reverse(
        write_off=write_offs.write_off(sale=bill, amount=D("161.00"), on=on(8, 1), reason="moved"), on=on(8, 9)
    )
    [line] = bill.lines.all()
    credits.credit(sale=bill, on=on(8, 10), reason="late", amounts={line.pk: D("25.10")})
    payments.receive(sale=bill, amount=D("30.00"), on=on(8, 11), how="cash")
    write_offs.write_off(sale=bill, amount=D("105.90"), on=on(1, 10, 2026), reason="moved on")


def _old_books() -> None:
    lee = make.customer("Lee")
    old = debtors.take_over(number="OLD-7", on=on(1, 20), customer=lee, amount=D("125.50"), tax_percent=D("25.5"))
    payments.receive(sale=old, amount=D("25.50"), on=on(3, 20), how="bank")
    kept = make.job("J-00", price=90, on=on(3, 1), customer=lee, finished=False)
    payments.receive(job=kept, amount=D(40), on=on(3, 1), opening=True)
    openings.take_over(piece=make.piece("RUG1"), species="Sheep", cost=D(60), on=on(3, 1), minutes=D(120))
    numbering.begin(at={"invoice": 118})


def _bought() -> None:
    alum = make.material("ALUM", on_hand=2, value="20.00", on=on(3, 1))
    wrong = make.delivery(
        make.line(alum, 2, 2, "12.55"), on=on(3, 2), ref="P-1", carriage="6.00", due_on=on(4, 1), **TAXED
    )
    bills.pay(amount=D("31.10"), on=on(3, 3), how="bank", delivery=wrong)
    workshop.pin_today(on=on(3, 8))
    workshop.set_up(cost_flow="fifo")
    make.take(alum, 3, on(3, 9), Kind.SPOILED)
    corrections.correct(delivery=wrong, on=on(3, 10), reason="the rest never came")
    make.delivery(make.line(alum, 1, 5, "62.75"), on=on(3, 11), ref="P-2", how="bank", **TAXED)
    workshop.pin_today(on=on(1, 31, 2026))
    make.skin("H1", date_in=on(3, 12), price="22.80", how="barter", tax_percent=D(14), with_tax=True)
    make.work(on(3, 13), 30, tags=["H1"], who="Ann Lee", paid=D(4), how="cash")
    rent = expenses.spend(kind="rent", amount=D("251.00"), on=on(12, 2), due_on=on(1, 2, 2026), **TAXED)
    bills.pay(amount=D("100.00"), on=on(12, 20), how="bank", expense=rent)
    bills.pay(amount=D("151.00"), on=on(1, 5, 2026), how="card", expense=rent)
    expenses.spend(kind="van", on=on(4, 1), distance=D(30))
    expenses.spend(kind="equipment", amount=D("125.50"), on=on(4, 2), life_years=3, how="card", **TAXED)


def shapes() -> list[dict[str, Any]]:
    years = (2025, 2026)
    reports = [*(year_report.at(year) for year in years), *(cashbook.at(year) for year in years)]
    told = [answers.shape(each) for each in (*reports, *(tax_report.of(period(str(year))) for year in years))]
    # Without the check value: it is that of these books, which go on from where those of the folder ended.
    return [{name: what for name, what in each.items() if name != "books"} for each in told]


@pytest.mark.thorough
def test_all_of_it_at_once_comes_back_the_same(tmp_path: Path) -> None:
    before: list[dict[str, Any]] = []

    def lived() -> None:
        lived_in()
        assert audit.findings() == []
        assert [year_report.at(year).facts["holds"] for year in (2025, 2026)] == [True, True]
        before.extend(shapes())

    was, now = round_trip(lived, tmp_path)
    assert was == now
    with passing():
        load(tmp_path / "A")
        assert shapes() == before
        assert audit.findings() == []
        paid = [row.tax_percent for job in Job.objects.order_by("number") for row in job.payments.order_by("pk")]
        assert paid == [None, D("25.5"), D("25.5"), None]
