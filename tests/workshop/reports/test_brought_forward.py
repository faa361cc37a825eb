"""On the demonstration year: what is brought forward as a sum, or told from plain figures, is what the entries come to."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from costing.make.frames import selectors as frames
from costing.models import Customer, Frame
from costing.report.cashbook import rules, selectors as cashbook
from costing.sell.accounts import services as accounts
from costing.sell.debts.statements import selectors as statements

pytestmark = pytest.mark.usefixtures("demo")
D = Decimal
YEAR = 2025


def test_a_balance_from_sums_is_what_all_entries_come_to() -> None:
    """On days of the year and around it, of accounts opened before, within and after it, or never."""
    accounts.open_account(account="bank", on=date(YEAR, 5, 9), amount=D("812.35"))
    accounts.open_account(account="card", on=date(YEAR + 1, 1, 1), amount=D(-3))
    entries, openings = cashbook.entries(), cashbook.openings()
    names = {row.account for row in entries} | set(openings)
    assert len(entries) > 40
    for on in (date(YEAR - 1, 12, 1) + timedelta(days=number * 9) for number in range(50)):
        mine = {account: [row for row in entries if row.account == account] for account in names}
        told = {account: rules.balance(mine[account], openings.get(account), on) for account in names}
        assert cashbook.balances(on) == told, on


def test_the_entries_of_some_days_are_those_of_all_that_are_on_them() -> None:
    first, last = date(YEAR, 2, 10), date(YEAR, 7, 1)
    assert cashbook.entries((first, last)) == [row for row in cashbook.entries() if first <= row.on <= last]


def test_a_statement_opens_with_what_the_one_before_it_closed_with() -> None:
    for customer in Customer.objects.all():
        whole = statements.account(customer, date(YEAR - 9, 1, 1), date(YEAR + 1, 1, 1))
        for on in (date(YEAR, 1, 1) + timedelta(days=number * 30) for number in range(13)):
            rows = [row for row in whole.rows if row.on < on]
            opening = sum((row.charged - row.settled for row in rows), D(0))
            found = statements.account(customer, on, date(YEAR + 1, 1, 1))
            assert (found.opening, found.rows) == (opening, whole.rows[len(rows) :])


def test_what_is_left_of_a_frame_is_what_its_books_say() -> None:
    rows = list(Frame.objects.all())
    found, left = frames.accounts(rows), frames.left(rows)
    assert any(account.lacings for account in found.values())
    for row in rows:
        account, told = found[row.pk], left[row.pk]
        assert told.wears == {lacing.pk: wear for lacing, wear in account.lacings}
        assert (told.left, told.lacings) == (account.left, account.lacings_left)
        assert told.next_wear(2) == account.next_wear
    holds = {account.frame.pk: account.holds for account in found.values() if account.holds}
    assert frames.holding(told.last for told in left.values() if told.last) == holds
