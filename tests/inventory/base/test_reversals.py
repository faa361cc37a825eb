"""What money in, costs and hours have in common: closed books, who may, one key once, taken back by a linked entry."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from costing.models import Expense, Payment, SideHours
from costing.sell.expenses import services as expenses
from costing.sell.payments import services as payments
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from tests import factories as make
from tests.costing.sell.payments.test_services import day, owed, receive
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D = Decimal
Act = Callable[[], object]


def test_nothing_moves_in_closed_books_and_is_taken_back_later() -> None:
    bill = owed()
    paid = receive(1, sale=bill)
    cost = expenses.spend(kind="fee", amount=D(1), on=DAY)
    row = expenses.spend_hours(kind="papers", minutes=D(1), on=DAY)
    workshop.close_books(to=day(3))
    acts: list[Act] = [
        lambda: receive(1, 3, sale=bill),
        lambda: payments.refund(sale=bill, amount=D(1), on=day(3)),
        lambda: expenses.spend(kind="fee", amount=D(1), on=day(3)),
        lambda: expenses.spend_hours(kind="papers", minutes=D(1), on=day(3)),
        lambda: payments.reverse(payment=paid),
        lambda: expenses.reverse(expense=cost),
        lambda: expenses.reverse_hours(row=row),
    ]
    for act in acts:
        with pytest.raises(ClosedPeriod, match="Use a later date"):
            act()
    payments.reverse(payment=paid, on=day(4))
    expenses.reverse(expense=cost, on=day(4))
    expenses.reverse_hours(row=row, on=day(4))


@pytest.mark.parametrize(("role", "may"), [("owner", True), ("bookkeeper", True), ("helper", False)])
def test_who_keeps_the_books_enters_money(role: str, may: bool) -> None:
    by, bill = make.person(role), owed()
    paid, cost = receive(1, sale=bill), expenses.spend(kind="fee", amount=D(1), on=DAY)
    row = expenses.spend_hours(kind="papers", minutes=D(1), on=DAY)
    acts: list[Callable[[], Any]] = [
        lambda: receive(1, sale=bill, by=by),
        lambda: expenses.spend(kind="fee", amount=D(1), on=DAY, by=by),
        lambda: expenses.spend_hours(kind="papers", minutes=D(1), on=DAY, by=by),
        lambda: payments.reverse(payment=paid, by=by),
        lambda: expenses.reverse(expense=cost, by=by),
        lambda: expenses.reverse_hours(row=row, by=by),
    ]
    for act in acts:
        if may:
            assert act().written_by == by
        else:
            with pytest.raises(NotAllowed):
                act()


def test_one_key_enters_once_and_is_no_key_of_another_service() -> None:
    bill = owed()
    paid, cost = receive(1, sale=bill), expenses.spend(kind="fee", amount=D(1), on=DAY)
    row = expenses.spend_hours(kind="papers", minutes=D(1), on=DAY)
    acts: list[Callable[[str], object]] = [
        lambda key: receive(1, sale=bill, request_key=key),
        lambda key: expenses.spend(kind="fee", amount=D(1), on=DAY, request_key=key),
        lambda key: expenses.spend_hours(kind="papers", minutes=D(1), on=DAY, request_key=key),
        lambda key: payments.reverse(payment=paid, request_key=key),
        lambda key: expenses.reverse(expense=cost, request_key=key),
        lambda key: expenses.reverse_hours(row=row, request_key=key),
    ]
    for nth, act in enumerate(acts):
        assert act(f"k{nth}") == act(f"k{nth}")
        with pytest.raises(Refused, match="sent before for something else"):
            (act if nth else acts[1])(f"k{max(nth - 1, 0)}")
    assert (Payment.objects.count(), Expense.objects.count(), SideHours.objects.count()) == (3, 3, 3)
