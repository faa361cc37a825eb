"""Bad debts: the sale stays as it was, nothing is due, the year bears the loss, and a late payment reverses it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.urls import reverse
from hypothesis import given as over, settings, strategies as st

from costing.models import Sale, WriteOff
from costing.report.audit import selectors as audit
from costing.report.tax import selectors as taxes
from costing.report.tax.rules import period
from costing.report.year import report as year_report, statements
from costing.report.year.profit import selectors as results
from costing.sell.debts.statements import selectors as statements_of_account
from costing.sell.debts.write_offs import services as write_offs
from costing.sell.payments import rules as payment_rules, selectors as money, services as payments
from costing.sell.payments.cash import selectors as cash
from costing.sell.sales.credits import services as credits
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from tests import factories as make
from tests.factories import DAY, days_from, item
from tests.inventory.pages import signed_in, text
from workshop.documents.records import invoices

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def owed(price: str | int = 100, **options: Any) -> Sale:
    return make.sale(item(None, price), customer=make.customer(), **options)


def lose(sale: Sale, amount: str | int = 100, nth: int = 60, **more: Any) -> WriteOff:
    return write_offs.write_off(**{"sale": sale, "amount": D(amount), "on": day(nth), "reason": "moved away", **more})


def taxed(price: str = "106.25") -> Sale:
    """A price with 6.25 % of sales tax in it, 100.00 without."""
    make.registered()
    return make.sale(item(None, price, tax_percent=D("6.25")), customer=make.customer())


def test_a_write_off_leaves_the_sale_and_makes_nothing_due() -> None:
    bill = owed()
    before = (bill.net, bill.tax, bill.gross)
    lose(bill)
    bill.refresh_from_db()
    assert (bill.net, bill.tax, bill.gross) == before
    now = money.balance(bill, day(60))
    assert (now.left, now.overpaid, now.written_off, now.days_late) == (0, 0, 100, 0)
    assert money.balance(bill, day(59)).left == 100
    assert not list(audit.findings_of_papers())


def test_a_bad_debt_is_a_cost_with_stock_and_nothing_on_cash_basis() -> None:
    lose(taxed(), "106.25")
    year = results.year(DAY.year)
    assert (year.turnover, year.tax, year.bad_debts) == (100, D("6.25"), 100)
    assert (year.stock_profit, year.cash_profit, year.owed) == (0, 0, 0)
    assert (year.bridge.owed_to_me, year.bridge.bad_debts, year.bridge.miss) == (100, -100, 0)
    points = dict(statements.bridge(year).points)
    assert points["Bad debts"] == -100
    profits = next(table for table in statements.of(year, None) if table.name == "profits")
    (line,) = (row for row in profits.rows if row["line"] == "Bad debts")
    assert (line["value"], line["other"]) == (-100, None)
    assert year_report.at(DAY.year).values("owing")["bad_debts"] == 100


def test_it_is_a_cost_of_the_year_of_the_write_off_and_comes_back_in_the_year_of_its_reversal() -> None:
    bill = taxed()
    row = write_offs.write_off(sale=bill, amount=D("106.25"), on=date(2026, 2, 1), reason="closed down")
    write_offs.reverse(write_off=row, on=date(2027, 3, 1))
    payments.receive(sale=bill, amount=D("106.25"), on=date(2027, 3, 2))
    years = [results.year(number) for number in (2025, 2026, 2027)]
    assert [year.bad_debts for year in years] == [0, 100, -100]
    assert [year.stock_profit for year in years] == [100, -100, 100]
    assert [year.cash_profit for year in years] == [0, 0, 100]
    assert [year.bridge.miss for year in years] == [0, 0, 0]
    assert dict(statements.bridge(years[2]).points)["Bad debts recovered"] == 100


def test_of_a_part_payment_only_the_rest_is_lost_to_the_cent() -> None:
    bill = taxed()
    payments.receive(sale=bill, amount=D("33.33"), on=day(3))
    lose(bill, "72.92")
    now = cash.at(day(60))[0]
    assert (now.received, now.lost, now.owed) == (D("31.37"), D("68.63"), 0)


@settings(max_examples=60)
@over(paid=st.integers(0, 10_625), given_up=st.integers(0, 10_625), places=st.just(2))
def test_total_is_paid_written_off_and_left(paid: int, given_up: int, places: int) -> None:
    lost = min(given_up, 10_625 - paid)
    found = payment_rules.balance(
        D("106.25"),
        [payment_rules.Payment(DAY, D(paid).scaleb(-places))],
        (),
        [(DAY, D(lost).scaleb(-places))],
        due_on=DAY,
        on=DAY,
    )
    assert found.paid + found.written_off + found.left == D("106.25")
    assert found.overpaid == 0


@pytest.mark.parametrize(
    ("given", "match", "field"),
    [
        ({"amount": D("100.01")}, r"100\.00 is the balance due on INV-001; 100\.01 is more", "amount"),
        ({"amount": D(0)}, "more than nothing", "amount"),
        ({"amount": D("1.001")}, "decimals", "amount"),
        ({"reason": " "}, "The reason is missing", "reason"),
        ({"reason": "a\x07"}, "control character", "reason"),
        ({"on": day(-1)}, "before it", "on"),
        ({"on": date(2999, 1, 1)}, "too far in the future", "on"),
    ],
)
def test_what_cannot_be_written_off_is_refused(given: dict[str, Any], match: str, field: str) -> None:
    bill = owed()
    with pytest.raises(Refused, match=match) as refusal:
        lose(bill, **given)
    assert refusal.value.field == field
    assert not WriteOff.objects.exists()


def test_a_credit_note_a_paid_sale_and_a_closed_day_are_refused() -> None:
    bill, other = owed(), owed(price=40)
    note = credits.credit(sale=other, on=DAY, reason="x")
    payments.receive(sale=bill, amount=D(100), on=DAY)
    with pytest.raises(Refused, match="credit note"):
        lose(note)
    with pytest.raises(Refused, match=r"0\.00 is the balance due"):
        lose(bill)
    late = owed()
    workshop.close_books(to=day(90))
    with pytest.raises(Refused, match="closed"):
        lose(late)


def test_while_it_stands_no_payment_and_no_credit_is_taken() -> None:
    bill = owed()
    row = lose(bill)
    with pytest.raises(Refused, match=r"100\.00 of it is written off as bad debt: reverse that first"):
        payments.receive(sale=bill, amount=D(1), on=day(61))
    with pytest.raises(Refused, match="Reverse that first, then credit it"):
        credits.credit(sale=bill, on=day(61), reason="x")
    write_offs.reverse(write_off=row, on=day(61))
    assert payments.receive(sale=bill, amount=D(100), on=day(61)).number == "R-001"
    assert money.balance(bill, day(61)).left == 0
    with pytest.raises(Refused, match="reversed already"):
        write_offs.reverse(write_off=row, on=day(61))


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("way", ["paid, credited, lost", "paid, lost, back, credited, paid back"])
def test_part_payment_credit_and_bad_debt_close_the_account_and_leave_the_tax_report(way: str) -> None:
    """106.25 with its tax: 40.00 is paid, the rest is lost or credited, over two years."""
    bill, buyer = taxed(), make.customer()
    payments.receive(sale=bill, amount=D(40), on=day(10))

    def collected(*, of: int) -> Decimal:
        return sum((row.total.tax for row in taxes.sold(period(str(of)))), D(0))

    if way == "paid, credited, lost":
        [line] = bill.lines.all()
        credits.credit(sale=bill, on=day(20), reason="scratched", amounts={line.pk: D("21.25")})
        before = collected(of=2025)
        write_offs.write_off(sale=bill, amount=D(45), on=date(2026, 2, 1), reason="moved away")
        lost, tax_of_credits = (D("42.35"), D(0)), D("-1.25")
    else:
        row = write_offs.write_off(sale=bill, amount=D("66.25"), on=day(30), reason="moved away")
        before = collected(of=2025)
        with pytest.raises(Refused, match="Reverse that first, then credit it"):
            credits.credit(sale=bill, on=date(2026, 2, 1), reason="came back")
        write_offs.reverse(write_off=row, on=date(2026, 2, 1))
        credits.credit(sale=bill, on=date(2026, 2, 1), reason="came back")
        payments.refund(sale=bill, amount=D(40), on=date(2026, 2, 2))
        lost, tax_of_credits = (D("62.35"), D("-62.35")), D(0)
    assert before == D("6.25") + tax_of_credits
    assert collected(of=2025) == before
    account = statements_of_account.account(buyer, date(2025, 1, 1), date(2026, 12, 31))
    assert account.closing == 0
    assert account.charged - account.settled == 0
    assert money.owing(date(2026, 12, 31)).open == []
    years = [results.year(number) for number in (2025, 2026)]
    assert [year.bridge.miss for year in years] == [0, 0]
    assert sum((year.bad_debts for year in years), D(0)) == lost[0] + lost[1]
    assert audit.findings() == []
    workshop.pin_today(on=date(2026, 12, 31))
    assert bill.number not in text(signed_in().get(reverse("owed")))


def test_a_receipt_says_what_was_due_before_the_rest_was_written_off_that_day() -> None:
    bill = owed()
    paid = payments.receive(sale=bill, amount=D(30), on=day(60))
    lose(bill, 70)
    assert invoices.receipt(paid).balance == 70


def test_a_key_writes_off_once_and_a_helper_may_not() -> None:
    bill = owed()
    assert lose(bill, 30, request_key="k") == lose(bill, 30, request_key="k")
    assert money.balance(bill, day(60)).left == 70
    with pytest.raises(NotAllowed):
        lose(bill, 30, by=make.person("helper"))


def test_the_books_say_when_more_is_written_off_than_was_left() -> None:
    bill = owed()
    lose(bill)
    WriteOff.objects.update(amount=D(120))
    assert [line for line in audit.findings_of_papers() if "written off" in line]


def test_a_debt_is_written_off_and_comes_back_by_the_pages() -> None:
    workshop.pin_today(on=day(60))
    client = signed_in(make.person("bookkeeper"))
    bill = owed()
    address = reverse("sale_write_off", args=[bill.number])
    assert 'value="100"' in client.get(address).content.decode()
    said = {"amount": "100", "on": str(day(60)), "reason": "moved away", "request_key": "k"}
    shown = text(client.post(address, said, follow=True))
    assert "100.00 € of INV-001 is written off." in shown
    assert "written off" in text(client.get(reverse("sales")))
    row = WriteOff.objects.get()
    back = reverse("write_off_reverse", args=[row.pk])
    shown = text(client.post(back, {"on": str(day(60)), "request_key": "b"}, follow=True))
    assert "Enter the payment now" in shown
    assert "Write-off reversed" in shown
    assert money.balance(bill, day(60)).left == 100


def test_a_refusal_of_the_page_stands_beside_its_field() -> None:
    workshop.pin_today(on=day(60))
    client = signed_in()
    address = reverse("sale_write_off", args=[owed().number])
    shown = text(client.post(address, {"amount": "200", "on": str(day(60)), "reason": "x", "request_key": "k"}))
    assert "100.00 is the balance due" in shown
    assert not WriteOff.objects.exists()
