"""The cash book: everything that moved money, in its account and month, closing = opening + in - out."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from hypothesis import given, strategies as st

from costing.report.cashbook import report as cashbook, rules
from costing.report.cashbook.rules import Entry, Opening
from costing.sell.accounts import services as accounts
from costing.sell.bills import services as bills
from costing.sell.expenses import services as expenses
from costing.sell.payments.services import Paid
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.ledger import services as ledger
from tests.factories import DAY, article, delivery, line, material, sale, skin
from tests.inventory.pages import text

D = Decimal
YEAR = DAY.year
days = st.dates(date(YEAR - 1, 1, 1), date(YEAR + 1, 12, 31))
moved = st.lists(st.tuples(days, st.integers(-9999, 9999)), max_size=12)


@given(moved, days, st.integers(-9999, 9999))
def test_each_month_closes_with_what_the_next_opens(rows: list[tuple[date, int]], on: date, amount: int) -> None:
    entries = [Entry(day, "cash", D(coins) / 100, "") for day, coins in rows]
    opening = Opening(on, D(amount) / 100)
    found = rules.months("cash", entries, opening, YEAR)
    for month in found:
        assert month.opening + month.money_in - month.money_out == month.closing
    assert [month.closing for month in found[:-1]] == [month.opening for month in found[1:]]
    before = rules.balance([row for row in entries if row.on < on], opening, on - timedelta(days=1))
    assert before == opening.amount, "on the eve of its day an account holds its opening balance"


def sums(found: object, account: str) -> tuple[Decimal, Decimal, Decimal]:
    rows = [row for row in cashbook.at(YEAR).table("months").rows if row["account"] == account]
    assert found is None
    return sum(row["in"] for row in rows), sum(row["out"] for row in rows), rows[-1]["closing"]  # type: ignore[arg-type, misc, return-value]


@pytest.mark.django_db
def test_what_moved_money_is_in_its_account_and_what_did_not_is_in_none() -> None:
    workshop.pin_today(on=date(YEAR, 12, 31))
    salt = material("SALT")
    accounts.open_account(account="cash", on=date(YEAR, 1, 1), amount=D(50))
    sale(article("A1"), asked=100, paid=[Paid(how="cash")])
    delivery(line(salt), how="bank")
    back = delivery(line(salt, price="7"), how="bank", ref="R2")
    ledger.reverse(posting=back.posting, reason="never came")
    due = delivery(line(salt, price="30"), due_on=DAY, ref="R3")
    bills.pay(amount=D(10), on=DAY, how="card", delivery=due)
    skin("S1", price=9, how="cash")
    skin("S2", price=4)
    expenses.spend(kind="rent", amount=D(20), on=DAY, how="cash")
    expenses.spend(kind="vehicle", on=DAY, distance=D(100), unit="km", rate=D("0.3"))
    expenses.spend(kind="rent", amount=D(77), on=DAY, due_on=DAY)
    accounts.move(amount=D(40), on=DAY, source="cash", target="bank")
    accounts.reverse(transfer=accounts.move(amount=D(5), on=DAY, target="cash"))
    assert sums(None, "Cash")[2] == 50 + 100 - 9 - 20 - 40
    assert sums(None, "Bank")[2] == D("-11.60") + 40
    assert sums(None, "Card")[2] == -10
    unsaid = [row["what"] for row in cashbook.at(YEAR).table("entries").rows if row["account"] == "Not said"]
    assert "Skin S2" in unsaid
    assert not any("Rent" in str(what) for what in unsaid)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("given_", "match"),
    [
        ({"source": "cash", "target": "cash"}, "two that differ"),
        ({"source": "sock", "target": "cash"}, "not a known account"),
        ({"target": "cash", "amount": D(0)}, "more than nothing"),
        ({}, "two that differ"),
    ],
)
def test_a_transfer_that_cannot_be_is_refused(given_: dict[str, object], match: str) -> None:
    with pytest.raises(Refused, match=match):
        accounts.move(**{"amount": D(1), "on": DAY, **given_})  # type: ignore[arg-type]


@pytest.mark.django_db
def test_the_page_says_what_nobody_said_and_its_files_answer(client: Client) -> None:
    skin("S2", price=4)
    page = client.get(f"/books/cash/{YEAR}/")
    assert "Nobody said how these were paid" in text(page)
    months = client.get(f"/books/cash/{YEAR}/months.csv").content.decode().splitlines()
    assert months[0] == "account,month,opening,in,out,closing"
    assert "Not said,2025-03,0.00,0.00,4.00,-4.00" in months
    assert client.get(f"/books/cash/{YEAR}/entries.csv").status_code == 200
    assert client.get(f"/books/cash/{YEAR}/all.pdf").content[:4] == b"%PDF"
    assert client.get(f"/books/cash/{YEAR}/all.xlsx").status_code == 200
    assert client.get("/books/cash/").status_code == 302
    form = {"account": "bank", "on": "2025-01-01", "amount": "-12,50", "request_key": "k1"}
    client.post("/accounts/opening/", form)
    client.post(
        "/accounts/move/", {"amount": "5", "source": "", "target": "bank", "on": "2025-03-05", "request_key": "k2"}
    )
    assert "Bank,2025-12,-7.50,0.00,0.00,-7.50" in client.get(f"/books/cash/{YEAR}/months.csv").content.decode()


@pytest.mark.thorough
@pytest.mark.django_db
def test_the_cash_book_takes_as_many_queries_whatever_is_in_it(client: Client) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            client.get(f"/books/cash/{YEAR}/")
        return len(seen)

    def more(number: int) -> None:
        skin(f"S{number}", price=4)
        expenses.spend(kind="rent", amount=D(20), on=DAY, how="cash")
        bills.pay(amount=D(1), on=DAY, expense=expenses.spend(kind="rent", amount=D(20), on=DAY, due_on=DAY))
        delivery(line(material(f"M{number}")), how="bank", ref=f"R{number}")

    more(1)
    queries()
    first = queries()
    for number in range(2, 8):
        more(number)
    assert queries() == first
