"""Whatever is sold, paid, credited, written off and taken back: a paper is kept as settled on the day that the rule says, and what
is read without the settled papers is what is read with all of them."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import pairwise
from typing import Any

import pytest
from django.db import transaction
from hypothesis import given, settings, strategies as st
from hypothesis.extra.django import TestCase

from costing.models import Expense, Job, Payment, Sale, SaleLine, WriteOff
from costing.report.audit.papers import selectors as audit
from costing.sell.customers import selectors as customers
from costing.sell.debts.write_offs import services as write_offs
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.payments import selectors as money, services as payments
from costing.sell.payments.barter import services as barter
from costing.sell.payments.cash import selectors as cash
from costing.sell.payments.debtors import services as debtors
from costing.sell.payments.services import Paid
from costing.sell.sales.credits import services as credits
from inventory.errors import Refused
from tests import factories as make
from tests.factories import DAY, days_from
from tests.properties import few

day = days_from(DAY)


@dataclass(frozen=True)
class Event:
    """`pick` chooses among what is there, `cents` are money, `how` a way of doing it, `after` the days since the first."""

    kind: str
    after: int
    pick: int
    cents: int
    how: int


def one(rows: Any, event: Event) -> Any:
    found = list(rows.order_by("pk"))
    if not found:
        raise Refused("Nothing is there.")
    return found[event.pick % len(found)]


def paper(event: Event) -> Sale:
    found: Sale = one(Sale.objects.exclude(kind="credit"), event)
    return found


def all_of(sale: Sale, event: Event) -> Decimal:
    """All that is left of a paper, or a part of it: most papers come to be settled."""
    left = money.balance(sale, date.max).left
    return left if event.how % 3 else min(left, Decimal(event.cents) / 100)


def sell(event: Event, on: date) -> Sale:
    paid = {0: [Paid()], 1: [], 2: [Paid(Decimal(1), on=DAY)]}[event.how % 3]
    spent = [Cost("fee", Decimal("0.55"), withheld=True)] if event.how > 3 else []
    item = make.item(None, Decimal(event.cents) / 100, **TAXED)
    return make.sale(item, on=on, customer=make.customer(), paid=paid, spent=spent)


def refund(event: Event, on: date) -> Payment:
    if event.how % 2:
        sale = paper(event)
        return payments.refund(amount=money.owed_back(sale, on), on=on, sale=sale)
    job = one(Job.objects, event)
    return payments.refund(amount=money.least_held(job, on), on=on, job=job)


def credit(event: Event, on: date) -> Sale:
    if event.how % 2:
        return credits.credit(sale=paper(event), on=on, reason="back", refund=Paid() if event.how > 3 else None)
    row = one(SaleLine.objects.filter(standing=True), event)
    return credits.credit(sale=row.sale, on=on, reason="dent", amounts={row.pk: Decimal(event.cents) / 100})


TAXED = {"tax_percent": Decimal("25.5")}
BACK: tuple[tuple[Any, Callable[..., object], str], ...] = (
    (Payment, payments.reverse, "payment"),
    (Expense, expenses.reverse, "expense"),
    (WriteOff, write_offs.reverse, "write_off"),
)


def take_back(event: Event, on: date) -> object:
    rows, reverse, name = BACK[event.how % len(BACK)]
    return reverse(**{name: one(rows.objects.filter(reverses=None), event), "on": on if event.how > 3 else None})


ACTS: dict[str, Callable[[Event, date], object]] = {
    "sell": sell,
    "bill": lambda event, on: make.sale(
        make.item(job := one(Job.objects, event), 90, **TAXED), on=on, customer=job.customer
    ),
    "deposit": lambda event, on: payments.receive(
        amount=Decimal(event.cents) / 100, on=on, job=one(Job.objects, event)
    ),
    "pay": lambda event, on: payments.receive(amount=all_of(paper(event), event), on=on, sale=paper(event)),
    "barter": lambda event, on: barter.trade(
        sale=paper(event), amount=all_of(paper(event), event), on=on, words="wood", kind="overhead"
    ),
    "fee": lambda event, on: expenses.spend(
        kind="fee", amount=all_of(paper(event), event), on=on, sale=paper(event), withheld=True
    ),
    "lose": lambda event, on: write_offs.write_off(
        sale=paper(event), amount=all_of(paper(event), event), on=on, reason="gone"
    ),
    "old": lambda event, on: debtors.take_over(
        number=f"OLD-{event.pick}", on=on, customer=make.customer(), amount=Decimal(event.cents) / 100
    ),
    "credit": credit,
    "refund": refund,
    "take back": take_back,
}

EVENT = st.builds(
    Event,
    kind=st.sampled_from(["bill", "deposit", "pay", "credit", "refund", "take back", "take back", "take back", *ACTS]),
    after=st.integers(0, 30),
    pick=st.integers(0, 30),
    cents=st.sampled_from([0, 1, 33, 1250, 9999]),
    how=st.integers(0, 7),
)


def begin() -> None:
    """Of each way to settle a paper one: by a deposit (one of them taken back by a credit), by money, a fee kept back and a loss,
    not at all, and paid too much."""
    make.registered()
    for number, nth in (("J-01", 3), ("J-02", 2)):
        job = make.job(number, price=90)
        payments.receive(amount=Decimal(90), on=day(nth - 1), job=job)
        bill = make.sale(make.item(job, 90, **TAXED), on=day(nth), customer=job.customer)
    credits.credit(sale=bill, on=day(5), reason="back")
    part = make.sale(make.item(None, 100, **TAXED), customer=make.customer(), paid=[Paid(Decimal(60))])
    expenses.spend(kind="fee", amount=Decimal(10), on=day(8), sale=part, withheld=True)
    write_offs.write_off(sale=part, amount=Decimal(30), on=day(9), reason="gone")
    credits.credit(sale=make.sale(make.item(None, 50, **TAXED), paid=[Paid()]), on=day(7), reason="back")
    make.sale(make.item(None, 40, **TAXED), customer=make.customer(), on=day(6))
    debtors.take_over(number="OLD-99", on=day(1), customer=make.customer(), amount=Decimal(25))


def told() -> list[Any]:
    """What is said of money on each of some days, and between each and the last."""
    ann, days = make.customer(), [day(after) for after in (-1, 0, 5, 8, 12, 20, 30, 99)]
    owed = [[(row.sale.number, row.balance) for row in money.open_sales(on)] for on in days]
    by = [customers.owed_by([ann], on).get(ann.pk, 0) for on in days[::3]]
    return [owed, by, [cash.at(on, later) for on, later in pairwise(days)]]


@pytest.mark.slow
class Settled(TestCase):
    @given(st.lists(EVENT, min_size=2, max_size=10))
    @settings(max_examples=few(5))
    def test_what_is_settled_is_what_the_rule_says_and_may_be_left_out(self, run: list[Event]) -> None:
        begin()
        for event in run:
            with suppress(Refused):
                ACTS[event.kind](event, day(event.after))
            assert list(audit.findings()) == [], event
        for sale in money.settled().exclude(kind="credit"):
            assert sale.settled_on == money.settled_on(sale)
        quick = told()
        with transaction.atomic():
            Sale.objects.update(settled_on=None)
            assert told() == quick
            transaction.set_rollback(True)
