"""Opening balances: what stood in the old books is owned, owed and held here, and is no cost or turnover of the year."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from django.db import transaction

from costing.make.cost.rates import services as rates
from costing.make.finishing.openings import services as openings
from costing.models import Payment, Sale
from costing.report.audit import selectors as audit
from costing.report.year.profit import selectors as results
from costing.sell.payments import selectors as payments_read, services as payments
from costing.sell.payments.debtors import services as debtors
from costing.sell.sales.credits import services as credits
from costing.sell.sales.numbering import services as numbering
from inventory.articles.services import Piece
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.models import Article, Skin
from inventory.skins import services as skins
from tests import factories as make
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db
BEGAN = date(2025, 7, 1)  # in the middle of the year: nothing may rest on the first of January
D = Decimal


def rug(number: str = "A1", cost: int = 40, minutes: int = 600) -> Article:
    return openings.take_over(
        piece=Piece(number, "Rug", "alum_tawed", area=D(8000)),
        on=BEGAN,
        species="Sheep",
        cost=D(cost),
        minutes=D(minutes),
    )


def debt(number: str = "OLD-117", amount: int = 66, **more: D) -> Sale:
    return debtors.take_over(number=number, on=date(2025, 5, 20), customer=make.customer(), amount=D(amount), **more)


def test_a_piece_of_the_old_books_is_opening_stock_with_cost_and_hours() -> None:
    rates.set_rates(wage_per_hour=D(12), overhead_per_hour=D(3))
    piece = rug()
    assert (piece.book_cost, piece.cost.full, piece.cost.own_minutes) == (40, 40 + 10 * 12 + 10 * 3, 600)
    year = results.year(2025)
    assert (year.stock.opening, year.stock.bought, year.stock.closing, year.making_hours) == (40, 0, 40, 0)
    assert (year.stock_profit, year.cash_profit, year.bridge.miss) == (0, 0, 0)
    assert audit.findings() == []


def test_it_costs_the_year_something_when_it_is_sold() -> None:
    make.sale(rug(), asked=200, on=date(2025, 9, 1), paid=[make_paid()])
    year = results.year(2025)
    assert (year.turnover, year.stock.used, year.stock_profit) == (200, 40, 160)
    assert (year.cash_profit, year.bridge.miss, year.unaccounted) == (200, 0, 0)


def make_paid() -> payments.Paid:
    return payments.Paid()


@pytest.mark.thorough
def test_a_skin_begun_before_is_opening_stock_and_goes_on_from_its_cost() -> None:
    rates.set_rates(wage_per_hour=D(12))
    begun = skins.Details(species="Deer", date_in=BEGAN, price=D(15), opening=True, minutes_before=D(120))
    skins.take_in(tag="H1", details=begun)
    (piece,) = make.finish("H1", on=date(2025, 8, 1))
    assert (piece.book_cost, piece.cost.full) == (15, 15 + 2 * 12)
    assert results.year(2025).stock.skins == 0
    assert audit.findings() == []


def test_minutes_from_before_need_an_opening() -> None:
    with pytest.raises(Refused, match="of a skin that was there then"):
        skins.take_in(tag="H1", details=skins.Details(species="Deer", date_in=BEGAN, minutes_before=D(5)))


@pytest.mark.thorough
def test_an_opening_debtor_is_no_sale_and_his_money_is_no_income_on_accrual() -> None:
    old = debt()
    before = results.year(2025)
    assert (before.turnover, before.owed, before.stock_profit, before.cash_profit) == (0, 66, 0, 0)
    assert before.bridge.miss == 0
    payments.receive(sale=old, amount=D(60), on=date(2025, 8, 1), how="bank")
    after = results.year(2025)
    assert (after.turnover, after.owed, after.stock_profit) == (0, 6, 0)
    assert (after.received, after.cash_profit, after.bridge.miss) == (60, 60, 0)
    assert [row.sale.number for row in payments_read.open_sales(date(2025, 8, 2))] == ["OLD-117"]
    assert audit.findings() == []


def test_the_tax_in_an_opening_debt_is_no_income_when_it_is_paid() -> None:
    make.registered()
    old = debt(amount=125, tax_percent=D(25))
    assert (old.net, old.tax) == (100, 25)
    payments.receive(sale=old, amount=D(125), on=date(2025, 8, 1))
    year = results.year(2025)
    assert (year.received, year.tax, year.bridge.miss) == (100, 0, 0)


@pytest.mark.thorough
def test_what_an_opening_debtor_is_let_off_is_a_loss_of_this_year() -> None:
    workshop.set_up(name="Hides", postal_address="1 Mill Lane")
    credits.credit(sale=debt(), on=date(2025, 9, 1), reason="shop closed")
    year = results.year(2025)
    assert (year.turnover, year.owed, year.stock_profit, year.bridge.miss) == (-66, 0, -66, 0)
    assert audit.findings() == []


@pytest.mark.thorough
def test_a_deposit_held_is_no_money_of_the_year_and_income_at_the_hand_over() -> None:
    job = make.job("J-01", price=100, on=date(2025, 6, 1))
    payments.receive(job=job, amount=D(40), on=date(2025, 6, 1), opening=True)
    held = results.year(2025)
    assert (held.received, held.deposits, held.bridge.miss) == (0, 40, 0)
    make.sale(job, asked=100, on=date(2025, 9, 1), customer=job.customer, paid=[make_paid()])
    year = results.year(2025)
    assert (year.received, year.deposits, year.turnover, year.bridge.miss) == (60, 0, 100, 0)
    assert audit.findings() == []


@pytest.mark.thorough
def test_numbers_go_on_where_the_old_books_ended() -> None:
    numbering.begin(at={"invoice": 118, "receipt": 40})
    bill = make.sale(make.article("A1"), kind="invoice", customer=make.customer(), paid=[make_paid()])
    assert (bill.number, Payment.objects.get().number) == ("INV-118", "R-040")
    assert make.sale(make.article("A2"), kind="invoice", customer=make.customer("Bo")).number == "INV-119"
    assert audit.findings() == []
    with pytest.raises(Refused, match="INV-119 is issued already, so INV-120 is the next"):
        numbering.begin(at={"invoice": 200})


def test_no_number_is_given_twice() -> None:
    with pytest.raises(Refused, match="would be given again by the series “invoice”, whose next number is 1"):
        debt("INV-117")
    numbering.begin(at={"invoice": 118})
    debt("INV-117")
    with pytest.raises(Refused, match=r"begin after it, at 118 or later"):
        numbering.begin(at={"invoice": 110})


@pytest.mark.thorough
def test_all_of_it_survives_save_and_load(tmp_path: Path) -> None:
    with transaction.atomic():
        numbering.begin(at={"invoice": 118, "receipt": 40})
        rug()
        old = debt("INV-117")
        payments.receive(sale=old, amount=D(60), on=date(2025, 8, 1), how="bank")
        job = make.job("J-01", price=100, on=date(2025, 6, 1))
        payments.receive(job=job, amount=D(40), on=date(2025, 6, 1), opening=True)
        bill = make.sale(make.article("A2"), kind="invoice", customer=make.customer("Bo"), on=date(2025, 9, 1))
        credits.credit(sale=bill, on=date(2025, 9, 2), reason="came back")
        before = results.year(2025)
        save(tmp_path / "A")
        transaction.set_rollback(True)
    load(tmp_path / "A")
    save(tmp_path / "B")
    assert {path.name: path.read_bytes() for path in (tmp_path / "A").glob("*.csv")} == {
        path.name: path.read_bytes() for path in (tmp_path / "B").glob("*.csv")
    }
    assert replace(results.year(2025), parts=before.parts) == before  # parts name pieces by their row in the database
    assert Skin.objects.get(tag="A1").minutes_before == 600
    assert audit.findings() == []
