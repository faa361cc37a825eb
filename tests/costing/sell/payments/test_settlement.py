"""Which day is kept on a paper as the one it was settled on, and that a load looks at each paper once."""

from __future__ import annotations

from contextlib import suppress
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.models import Payment, Sale
from costing.sell.debts.write_offs import services as write_offs
from costing.sell.payments import selectors as money, services as payments, settlement
from costing.sell.payments.cash import selectors as cash
from costing.sell.payments.services import Paid
from costing.sell.sales.credits import services as credits
from inventory.errors import Refused
from tests import factories as make
from tests.factories import DAY, days_from, item

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def settled(sale: Sale) -> date | None:
    return Sale.objects.get(pk=sale.pk).settled_on


def test_a_paper_is_settled_on_the_last_day_of_what_settled_it_and_open_again_when_that_is_taken_back() -> None:
    sale = make.sale(item(None, 100), customer=make.customer())
    assert settled(sale) is None
    payments.receive(sale=sale, amount=D(60), on=day(6))
    payments.receive(sale=sale, amount=D(40), on=day(2))
    assert settled(sale) == day(6)
    payments.reverse(payment=Payment.objects.get(amount=40), on=day(9))
    assert settled(sale) is None
    lost = write_offs.write_off(sale=sale, amount=D(40), on=day(12), reason="gone")
    assert settled(sale) == day(12)
    write_offs.reverse(write_off=lost, on=day(13))
    assert settled(sale) is None


def test_what_was_paid_before_its_day_settles_a_paper_on_its_day() -> None:
    assert settled(make.sale(item(None, 100), on=day(3), paid=[Paid(on=DAY)])) == day(3)


def test_a_paper_that_was_paid_too_much_is_open_until_it_is_paid_back() -> None:
    sale = make.sale(item(None, 100), paid=[Paid()])
    back = credits.credit(sale=sale, on=day(1), reason="x")
    assert (settled(sale), settled(back)) == (None, None)
    payments.refund(sale=sale, amount=D(100), on=day(4))
    assert settled(sale) == day(4)


def test_a_deposit_that_is_taken_back_opens_the_paper_that_it_was_set_off_on() -> None:
    job = make.job(price=100)
    paid = payments.receive(amount=D(100), on=day(1), job=job)
    sale = make.sale(item(job, 100), customer=make.customer(), on=day(5))
    assert settled(sale) == day(5)
    payments.reverse(payment=paid, on=day(8))
    assert settled(sale) is None


def test_within_a_block_each_paper_is_looked_at_once_when_it_ends() -> None:
    with settlement.once():
        sale = make.sale(item(None, 100), paid=[Paid(D(10)) for _ in range(10)])
        assert settled(sale) is None
    assert settled(sale) == DAY


def test_a_block_that_fails_settles_nothing() -> None:
    sale = make.sale(item(None, 100))
    with suppress(Refused), settlement.once():
        payments.receive(sale=sale, amount=D(100), on=DAY)
        payments.receive(sale=sale, amount=D(1), on=DAY)
    assert settled(sale) is None


def test_what_is_owed_is_read_without_the_papers_that_were_settled_before() -> None:
    """By what the database hands over: of ten papers only the open ones."""

    def asked() -> list[int]:
        with CaptureQueriesContext(connection) as seen:
            assert [row.balance.left for row in money.owing(day(9)).open] == [D(70)]
            assert [row.received for row in cash.at(day(3), day(9))] == [100 * paid, 100 * paid + 30]
        return [len(query["sql"]) for query in seen]

    make.sale(item(None, 100), customer=make.customer(), on=day(4), paid=[Paid(D(30))])
    paid = 1
    make.sale(item(None, 100), paid=[Paid()])
    one = asked()
    for _ in range(9):
        make.sale(item(None, 100), paid=[Paid()])
    paid = 10
    assert asked() == one
