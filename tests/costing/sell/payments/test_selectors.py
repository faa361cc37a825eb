"""Who owes me and since when, whose deposits are held: read for any day, from the entries themselves."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.models import Job, Payment, Sale
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.payments import selectors as money, services as payments
from costing.sell.payments.cash import selectors as cash
from costing.sell.payments.services import Paid
from costing.sell.sales.credits import services as credits
from inventory.base import selectors as workshop_read
from tests import factories as make
from tests.factories import DAY, days_from, item

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def bill(price: str | int = 100, **options: Any) -> Sale:
    return make.sale(item(None, price), **{"customer": make.customer(), **options})


def left(sale: Sale, nth: int) -> tuple[Decimal, Decimal, int]:
    found = money.balance(Sale.objects.get(pk=sale.pk), day(nth))
    return found.left, found.overpaid, found.days_late


def test_a_balance_is_that_of_its_day() -> None:
    sale = bill()
    payments.receive(sale=sale, amount=D(40), on=day(2))
    credits.credit(sale=sale, on=day(4), reason="x", amounts={sale.lines.get().pk: D(10)})
    expenses.spend(kind="fee", amount=D(5), on=day(6), sale=sale, withheld=True)
    assert [left(sale, nth)[0] for nth in (0, 1, 2, 3, 4, 5, 6)] == [100, 100, 60, 60, 50, 50, 45]


def test_what_is_due_is_late_from_the_day_after() -> None:
    sale = bill()
    assert [left(sale, nth)[2] for nth in (14, 15, 20)] == [0, 1, 6]
    payments.receive(sale=sale, amount=D(100), on=day(18))
    assert left(sale, 20) == (0, 0, 0)


def test_a_credit_without_a_refund_is_owed_to_the_buyer() -> None:
    sale = bill(paid=[Paid()])
    credits.credit(sale=sale, on=day(1), reason="x")
    assert (left(sale, 0), left(sale, 1)) == ((0, 0, 0), (0, 100, 0))


def test_who_owes_is_listed_by_the_day_it_was_due() -> None:
    late, soon = bill(on=day(1), issued_on=day(5)), bill(on=day(2))
    over = make.sale(item(None, 10), on=day(3))
    bill(paid=[Paid()])
    credits.credit(sale=bill(), on=DAY, reason="x")
    assert [(row.sale, row.balance.left) for row in money.open_sales(day(5))] == [(over, 10), (soon, 100), (late, 100)]
    assert [row.sale for row in money.open_sales(day(2))] == [soon, late]
    payments.receive(sale=soon, amount=D(100), on=day(9))
    assert soon in [row.sale for row in money.open_sales(day(8))]
    assert soon not in [row.sale for row in money.open_sales(day(9))]


def test_deposits_are_held_until_the_hand_over_and_again_after_its_credit() -> None:
    job = make.job(price=165)
    payments.receive(amount=D(66), on=day(1), job=job)
    first = make.sale(item(job, 165), customer=make.customer(), on=day(5))
    credits.credit(sale=first, on=day(8), reason="x")
    payments.receive(amount=D(20), on=day(9), job=job)
    second = make.sale(item(job, 165), customer=make.customer(), on=day(12))
    assert [money.deposits_held(day(nth)) for nth in (0, 1, 4, 5, 7, 8, 9, 11, 12)] == [0, 66, 66, 0, 0, 66, 86, 86, 0]
    assert [left(first, nth)[:2] for nth in (5, 8)] == [(99, 0), (0, 0)]
    assert left(second, 12)[0] == 79


def test_each_deposit_is_held_as_long_as_its_own_work_is_not_handed_over() -> None:
    for number, amount, taken in (("J-01", 66, 0), ("J-02", 20, 4)):
        payments.receive(amount=D(amount), on=day(taken), job=make.job(number, price=165))
    make.sale(item(Job.objects.get(number="J-01"), 165), customer=make.customer(), on=day(3))
    assert [money.deposits_held(day(nth)) for nth in range(6)] == [66, 66, 66, 0, 20, 20]


def test_a_price_cut_of_billed_work_leaves_its_deposit_where_it_is() -> None:
    job = make.job(price=165)
    payments.receive(amount=D(66), on=DAY, job=job)
    sale = make.sale(item(job, 165), customer=make.customer(), on=day(1))
    credits.credit(sale=sale, on=day(2), reason="x", amounts={sale.lines.get().pk: D(65)})
    assert (left(sale, 2)[0], money.deposits_held(day(2))) == (34, 0)


def test_the_least_that_was_paid_counts_every_later_day() -> None:
    sale = bill(paid=[Paid()])
    credits.credit(sale=sale, on=day(1), reason="x")
    for nth, amount in ((5, -100), (9, 60)):
        row = Payment(on=day(nth), amount=amount, sale=sale, sequence=90 + nth, number=f"R-{nth}")
        row.save()
    assert [money.least_paid(sale, day(nth)) for nth in (0, 4, 5, 9)] == [0, 0, 0, 60]


def test_what_a_payer_kept_back_never_came() -> None:
    sale = bill(spent=[Cost("fee", D(35), withheld=True)], paid=[Paid(D(65))])
    assert (left(sale, 0)[0], money.least_paid(Sale.objects.get(pk=sale.pk), DAY)) == (0, 65)


def test_what_came_and_what_is_owed_make_up_what_was_sold() -> None:
    job = make.job(price=165)
    payments.receive(amount=D(66), on=DAY, job=job)
    make.sale(item(job, 165), customer=make.customer(), on=day(3))
    sale = bill(140, spent=[Cost("fee", D(49), withheld=True)], paid=[Paid(on=day(6))])
    credits.credit(sale=sale, on=day(8), reason="x", refund=Paid())
    for nth in range(10):
        (now,) = cash.at(day(nth))
        sold = sum((row.net for row in Sale.objects.filter(on__lte=day(nth))), D(0))
        assert now.received + now.owed - now.held == sold, nth


def test_a_sale_paid_before_its_day_is_money_held() -> None:
    bill(on=day(5), paid=[Paid(on=day(1))])
    early, then = cash.at(day(1), day(5))
    assert (early.received, early.held, early.owed) == (100, 100, 0)
    assert (then.received, then.held, then.owed) == (100, 0, 0)


@pytest.mark.thorough
@pytest.mark.slow
def test_four_open_sales_are_read_with_as_many_queries_as_one() -> None:
    def fill(number: int) -> None:
        job = make.job(f"J-{number}", price=165)
        payments.receive(amount=D(66), on=DAY, job=job)
        make.sale(item(job, 165), customer=make.customer())

    fill(1)
    workshop_read.current()  # read by whichever is first
    with CaptureQueriesContext(connection) as one:
        money.open_sales(DAY), money.deposits_held(DAY), cash.at(DAY)
    for number in (2, 3, 4):
        fill(number)
    with CaptureQueriesContext(connection) as many:
        assert len(money.open_sales(DAY)) == 4
        money.deposits_held(DAY), cash.at(DAY)
    assert len(many) == len(one)
