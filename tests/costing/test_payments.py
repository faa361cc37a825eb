"""Money in and out: received, paid back, spent, taken back by a linked entry; never more than is owed, agreed or was paid."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from costing.models import Expense, Fair, Payment, Series, SideHours
from costing.selectors import money
from costing.services import credits, payments
from costing.services.selling import Paid
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.services import workshop
from tests import factories as make
from tests.factories import DAY, item

pytestmark = pytest.mark.django_db

D = Decimal
Act = Callable[[], object]


def day(nth: int) -> date:
    return DAY + timedelta(days=nth)


def owed(price: str | int = 100, **options: Any) -> Any:
    return make.sale(item(None, price), customer=make.customer(), **options)


def receive(amount: str | int, nth: int = 0, **for_what: Any) -> Payment:
    return payments.receive(**{"amount": D(amount), "on": day(nth), **for_what})


def test_an_invoice_is_paid_in_parts_each_with_a_number() -> None:
    bill = owed()
    parts = [
        receive(30, sale=bill),
        receive("69.99", 1, sale=bill, how="bank", note="rest"),
        receive("0.01", sale=bill),
    ]
    assert [row.number for row in parts] == ["R-001", "R-002", "R-003"]
    assert [row.customer for row in parts] == [bill.customer] * 3
    assert money.balance(bill, day(1)).left == 0


@pytest.mark.parametrize(
    ("given", "match", "field"),
    [
        ({"amount": D("100.01")}, r"100\.00 is left to pay on INV-001; 100\.01 is more.*the rest where", "amount"),
        ({"amount": D(0)}, "more than nothing", "amount"),
        ({"amount": D(-5)}, "negative", "amount"),
        ({"amount": D("1.001")}, "decimals", "amount"),
        ({"amount": D("Infinity")}, "negative", "amount"),
        ({"how": "gold"}, "choose one of cash, card, bank, other", "how"),
        ({"on": date(2999, 1, 1)}, "too far in the future", "on"),
        ({"note": "=1"}, "formula", "note"),
        ({"sale": None}, "Name either the sale or the job", "sale"),
    ],
)
def test_money_that_cannot_be_is_refused(given: dict[str, Any], match: str, field: str) -> None:
    bill = owed()
    with pytest.raises(Refused, match=match) as refusal:
        payments.receive(**{"sale": bill, "amount": D(1), "on": DAY, **given})
    assert refusal.value.field == field
    assert not Payment.objects.exists()
    assert not Series.objects.filter(kind="receipt", last__gt=0).exists()


def test_money_is_for_a_sale_or_a_job_and_not_for_both() -> None:
    with pytest.raises(Refused, match="Name either"):
        receive(1, sale=owed(), job=make.job())


def test_no_money_is_taken_on_a_credit_note() -> None:
    bill = owed()
    note = credits.credit(sale=bill, on=DAY, reason="x")
    with pytest.raises(Refused, match="is a credit note; pay it back instead"):
        receive(1, sale=note)
    with pytest.raises(Refused, match=r"0\.00 is left to pay"):
        receive(1, sale=bill)


def test_deposits_go_up_to_the_price_and_end_with_the_hand_over() -> None:
    job = make.job(price=165)
    receive(66, job=job)
    with pytest.raises(Refused, match=r"agreed at 165\.00 and 66\.00 is paid; 100\.00 is more than the rest"):
        receive(100, job=job)
    with pytest.raises(Refused, match=f"was taken on {DAY}"):
        receive(1, -1, job=job)
    receive(99, job=job)
    make.sale(item(job, 165), customer=make.customer(), on=day(1))
    with pytest.raises(Refused, match="Enter the money on its invoice"):
        receive(1, 1, job=job)


def test_a_payment_taken_back_leaves_no_trace_in_what_is_owed() -> None:
    bill = owed()
    wrong = receive(40, sale=bill)
    back = payments.take_back(payment=wrong)
    assert (back.number, back.amount, back.on, back.reverses, back.how) == ("R-002", -40, DAY, wrong, wrong.how)
    assert (money.balance(bill, DAY).left, money.paid(bill, DAY)) == (100, 0)
    for row in (wrong, back):
        with pytest.raises(Refused, match="taken back already"):
            payments.take_back(payment=row)


def test_a_deposit_taken_back_is_held_no_more() -> None:
    job = make.job(price=165)
    payments.take_back(payment=receive(66, job=job), on=day(5))
    assert [money.deposits_held(day(nth)) for nth in (0, 4, 5)] == [66, 66, 0]
    assert receive(165, 6, job=job)


def test_money_that_was_paid_back_is_not_taken_back_as_well() -> None:
    bill = owed(paid=[Paid()])
    credits.credit(sale=bill, on=day(1), reason="x", refund=Paid())
    first, refund = Payment.objects.order_by("pk")
    with pytest.raises(Refused, match=r"R-001 was paid back on INV-001 already. Take that back first"):
        payments.take_back(payment=first, on=day(2))
    payments.take_back(payment=refund, on=day(2))
    payments.take_back(payment=first, on=day(2))
    assert money.paid(bill, day(2)) == 0


def test_nothing_is_taken_back_before_it_happened() -> None:
    with pytest.raises(Refused, match="before it happened"):
        payments.take_back(payment=receive(1, 3, sale=owed()), on=day(2))


def test_money_is_paid_back_from_the_day_of_the_sale() -> None:
    bill = owed(on=day(3), paid=[Paid(on=day(1))])
    with pytest.raises(Refused, match=f"INV-001 is of {day(3)}"):
        payments.give_back(sale=bill, amount=D(1), on=day(2), how="cash", writer=None)


def test_what_was_paid_too_much_is_paid_back_later_and_in_parts() -> None:
    bill = owed(paid=[Paid()])
    credits.credit(sale=bill, on=day(1), reason="x", amounts={bill.lines.get().pk: D(30)})
    keeper = make.person("bookkeeper")
    for _ in range(2):
        payments.refund(sale=bill, amount=D(10), on=day(5), how="bank", by=keeper, request_key="k")
    payments.refund(sale=bill, amount=D(20), on=day(6))
    with pytest.raises(Refused, match=r"0\.00 was paid too much on INV-001"):
        payments.refund(sale=bill, amount=D("0.01"), on=day(6))
    with pytest.raises(NotAllowed):
        payments.refund(sale=bill, amount=D(1), on=day(6), by=make.person("helper"))
    assert [row.amount for row in Payment.objects.order_by("pk")] == [100, -10, -20]
    assert [money.balance(bill, day(nth)).overpaid for nth in (1, 5, 6)] == [30, 20, 0]


def test_what_was_never_paid_too_much_is_not_paid_back() -> None:
    bill = owed(paid=[Paid()])
    with pytest.raises(Refused, match=r"0\.00 was paid too much on INV-001; 1\.00 is more. Credit the sale first"):
        payments.give_back(sale=bill, amount=D(1), on=DAY, how="cash", writer=None)


def test_costs_stand_with_a_sale_a_fair_or_the_year() -> None:
    bill = owed()
    fair = Fair.objects.create(name="Spring fair", on=DAY)
    made = [
        payments.spend(kind="postage", amount=D(5), on=DAY, sale=bill, words="parcel"),
        payments.spend(kind="pitch", amount=D(35), on=DAY, fair=fair),
        payments.spend(kind="overhead", amount=D(96), on=DAY, words="insurance"),
    ]
    assert [(row.sale, row.fair) for row in made] == [(bill, None), (None, fair), (None, None)]
    assert money.balance(bill, DAY).left == 100, "what I paid for is not what the buyer paid"


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({"kind": "bribe"}, "choose one of fee, postage, pitch, fuel, overhead, other"),
        ({"amount": D(0)}, "more than nothing"),
        ({"amount": D("0.001")}, "decimals"),
        ({"withheld": True}, "name the sale"),
        ({"words": "@x"}, "formula"),
    ],
)
def test_a_cost_that_cannot_be_is_refused(given: dict[str, Any], match: str) -> None:
    with pytest.raises(Refused, match=match):
        payments.spend(**{"kind": "fee", "amount": D(1), "on": DAY, **given})
    assert not Expense.objects.exists()


def test_no_more_is_withheld_than_is_owed() -> None:
    bill = owed()
    payments.spend(kind="fee", amount=D(35), on=DAY, sale=bill, withheld=True)
    with pytest.raises(Refused, match=r"65\.00 is left"):
        payments.spend(kind="fee", amount=D(66), on=DAY, sale=bill, withheld=True)
    with pytest.raises(Refused, match=r"65\.00 is left"):
        receive(66, sale=bill)


def test_a_cost_taken_back_leaves_no_trace() -> None:
    bill = owed()
    fee = payments.spend(kind="fee", amount=D(35), on=DAY, sale=bill, withheld=True)
    back = payments.take_back_expense(expense=fee, on=day(1))
    assert (back.amount, back.withheld, back.sale, back.reverses) == (-35, True, bill, fee)
    assert money.balance(bill, day(1)).left == 100
    for row in (fee, back):
        with pytest.raises(Refused, match="taken back already"):
            payments.take_back_expense(expense=row)


def test_hours_that_made_nothing_are_written_and_taken_back() -> None:
    row = payments.hours(kind="papers", minutes=D(1320), on=DAY, words="the year's papers")
    back = payments.take_back_hours(row=row, on=day(1))
    assert (back.minutes, back.reverses) == (-1320, row)
    for each in (row, back):
        with pytest.raises(Refused, match="taken back already"):
            payments.take_back_hours(row=each)


@pytest.mark.parametrize(
    ("given", "match"),
    [
        ({"minutes": D(0)}, "more than nothing"),
        ({"minutes": D(-1)}, "more than nothing"),
        ({"minutes": D("0.0001")}, "decimals"),
        ({"minutes": D(527041)}, "more than a year has"),
        ({"kind": "sleep"}, "choose one of stall, papers, other"),
    ],
)
def test_hours_that_cannot_be_are_refused(given: dict[str, Any], match: str) -> None:
    with pytest.raises(Refused, match=match):
        payments.hours(**{"kind": "papers", "minutes": D(1), "on": DAY, **given})
    assert not SideHours.objects.exists()


def test_nothing_moves_in_closed_books_and_is_taken_back_later() -> None:
    bill = owed()
    paid = receive(1, sale=bill)
    cost = payments.spend(kind="fee", amount=D(1), on=DAY)
    row = payments.hours(kind="papers", minutes=D(1), on=DAY)
    workshop.close_books(to=day(3))
    acts: list[Act] = [
        lambda: receive(1, 3, sale=bill),
        lambda: payments.give_back(sale=bill, amount=D(1), on=day(3), how="cash", writer=None),
        lambda: payments.spend(kind="fee", amount=D(1), on=day(3)),
        lambda: payments.hours(kind="papers", minutes=D(1), on=day(3)),
        lambda: payments.take_back(payment=paid),
        lambda: payments.take_back_expense(expense=cost),
        lambda: payments.take_back_hours(row=row),
    ]
    for act in acts:
        with pytest.raises(ClosedPeriod, match="Use a later date"):
            act()
    payments.take_back(payment=paid, on=day(4))
    payments.take_back_expense(expense=cost, on=day(4))
    payments.take_back_hours(row=row, on=day(4))


@pytest.mark.parametrize(("role", "may"), [("owner", True), ("bookkeeper", True), ("helper", False)])
def test_who_keeps_the_books_enters_money(role: str, may: bool) -> None:
    by, bill = make.person(role), owed()
    paid, cost = receive(1, sale=bill), payments.spend(kind="fee", amount=D(1), on=DAY)
    row = payments.hours(kind="papers", minutes=D(1), on=DAY)
    acts: list[Callable[[], Any]] = [
        lambda: receive(1, sale=bill, by=by),
        lambda: payments.spend(kind="fee", amount=D(1), on=DAY, by=by),
        lambda: payments.hours(kind="papers", minutes=D(1), on=DAY, by=by),
        lambda: payments.take_back(payment=paid, by=by),
        lambda: payments.take_back_expense(expense=cost, by=by),
        lambda: payments.take_back_hours(row=row, by=by),
    ]
    for act in acts:
        if may:
            assert act().written_by == by
        else:
            with pytest.raises(NotAllowed):
                act()


def test_one_key_enters_once_and_is_no_key_of_another_service() -> None:
    bill = owed()
    paid, cost = receive(1, sale=bill), payments.spend(kind="fee", amount=D(1), on=DAY)
    row = payments.hours(kind="papers", minutes=D(1), on=DAY)
    acts: list[Callable[[str], object]] = [
        lambda key: receive(1, sale=bill, request_key=key),
        lambda key: payments.spend(kind="fee", amount=D(1), on=DAY, request_key=key),
        lambda key: payments.hours(kind="papers", minutes=D(1), on=DAY, request_key=key),
        lambda key: payments.take_back(payment=paid, request_key=key),
        lambda key: payments.take_back_expense(expense=cost, request_key=key),
        lambda key: payments.take_back_hours(row=row, request_key=key),
    ]
    for nth, act in enumerate(acts):
        assert act(f"k{nth}") == act(f"k{nth}")
        with pytest.raises(Refused, match="sent before for something else"):
            (act if nth else acts[1])(f"k{max(nth - 1, 0)}")
    assert (Payment.objects.count(), Expense.objects.count(), SideHours.objects.count()) == (3, 3, 3)
