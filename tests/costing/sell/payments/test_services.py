"""Money in and back: received, paid back, taken back by a linked entry; never more than is owed, agreed or was paid."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from costing.models import Payment, Series
from costing.sell.payments import selectors as money, services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales.credits import services as credits
from inventory.errors import NotAllowed, Refused
from tests import factories as make
from tests.factories import DAY, days_from, item

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


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
        ({"amount": D("100.01")}, r"100\.00 is the balance due on INV-001; 100\.01 is more.*the rest where", "amount"),
        ({"amount": D(0)}, "more than nothing", "amount"),
        ({"amount": D(-5)}, "negative", "amount"),
        ({"amount": D("1.001")}, "decimals", "amount"),
        ({"amount": D("Infinity")}, "negative", "amount"),
        ({"how": "gold"}, "choose one of cash, bank, card, barter, other", "how"),
        ({"on": date(2999, 1, 1)}, "too far in the future", "on"),
        ({"note": "a\x07"}, "control character", "note"),
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
    with pytest.raises(Refused, match=r"0\.00 is the balance due"):
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
    back = payments.reverse(payment=wrong)
    assert (back.number, back.amount, back.on, back.reverses, back.how) == ("R-002", -40, DAY, wrong, wrong.how)
    assert (money.balance(bill, DAY).left, money.least_paid(bill, DAY)) == (100, 0)
    for row in (wrong, back):
        with pytest.raises(Refused, match="reversed already"):
            payments.reverse(payment=row)


def test_a_deposit_taken_back_is_held_no_more() -> None:
    job = make.job(price=165)
    payments.reverse(payment=receive(66, job=job), on=day(5))
    assert [money.deposits_held(day(nth)) for nth in (0, 4, 5)] == [66, 66, 0]
    assert receive(165, 6, job=job)


def test_money_that_was_paid_back_is_not_taken_back_as_well() -> None:
    bill = owed(paid=[Paid()])
    credits.credit(sale=bill, on=day(1), reason="x", refund=Paid())
    first, refund = Payment.objects.order_by("pk")
    with pytest.raises(Refused, match=r"R-001 was paid back on INV-001 already. Reverse that first"):
        payments.reverse(payment=first, on=day(2))
    payments.reverse(payment=refund, on=day(2))
    payments.reverse(payment=first, on=day(2))
    assert money.least_paid(bill, day(2)) == 0


def test_nothing_is_taken_back_before_it_happened() -> None:
    with pytest.raises(Refused, match="before it happened"):
        payments.reverse(payment=receive(1, 3, sale=owed()), on=day(2))


def test_money_is_paid_back_from_the_day_of_the_sale() -> None:
    bill = owed(on=day(3), paid=[Paid(on=day(1))])
    with pytest.raises(Refused, match=f"INV-001 is of {day(3)}"):
        payments.refund(sale=bill, amount=D(1), on=day(2))


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
        payments.refund(sale=bill, amount=D(1), on=DAY)


def test_a_deposit_is_paid_back_in_whole_or_in_part_while_its_job_is_not_handed_over() -> None:
    job = make.job(price=165)
    receive(66, job=job)
    keeper = make.person("bookkeeper")
    for _ in range(2):
        back = payments.refund(job=job, amount=D(46), on=day(3), how="bank", by=keeper, request_key="k")
    assert (back.number, back.amount, back.job, back.customer) == ("R-002", -46, job, job.customer)
    assert [money.deposits_held(day(nth)) for nth in (0, 2, 3)] == [66, 66, 20]
    with pytest.raises(Refused, match=r"20\.00 is held for J-01 on .*; 20\.01 cannot be paid back"):
        payments.refund(job=job, amount=D("20.01"), on=day(4))
    with pytest.raises(Refused, match=r"0\.00 is held for J-01"):
        payments.refund(job=job, amount=D(1), on=day(-1))
    with pytest.raises(NotAllowed):
        payments.refund(job=job, amount=D(1), on=day(4), by=make.person("helper"))
    assert Payment.objects.count() == 2


def test_money_paid_back_is_for_a_sale_or_a_job() -> None:
    for both in ({}, {"sale": owed(paid=[Paid()]), "job": make.job()}):
        with pytest.raises(Refused, match="Name either the sale or the job"):
            payments.refund(amount=D(1), on=DAY, **both)


def test_a_deposit_that_was_set_off_is_paid_back_on_its_bill() -> None:
    job = make.job(price=165)
    receive(66, job=job)
    bill = make.sale(item(job, 165), customer=make.customer(), on=day(1))
    with pytest.raises(Refused, match="was handed over on"):
        payments.refund(job=job, amount=D(1), on=day(1))
    credits.credit(sale=bill, on=day(2), reason="x", amounts={bill.lines.get().pk: D(145)})
    assert money.owed_back(bill, day(2)) == 46
    payments.refund(sale=bill, amount=D(46), on=day(2))
    assert (money.balance(bill, day(2)).overpaid, money.owed_back(bill, day(2))) == (0, 0)


def test_a_deposit_that_was_paid_back_is_not_taken_back_as_well() -> None:
    job = make.job(price=165)
    first = receive(66, job=job)
    refund = payments.refund(job=job, amount=D(6), on=day(1))
    with pytest.raises(Refused, match="R-001 was paid back on J-01 already"):
        payments.reverse(payment=first, on=day(1))
    payments.reverse(payment=refund, on=day(1))
    payments.reverse(payment=first, on=day(1))
    assert money.deposits_held(day(1)) == 0


def test_a_deposit_paid_back_on_its_bill_is_not_taken_back_as_well() -> None:
    job = make.job(price=165)
    first = receive(66, job=job)
    bill = make.sale(item(job, 165), customer=make.customer(), on=day(1))
    credits.credit(sale=bill, on=day(2), reason="x", amounts={bill.lines.get().pk: D(145)}, refund=Paid())
    with pytest.raises(Refused, match="R-001 was paid back on INV-001 already"):
        payments.reverse(payment=first, on=day(3))


def test_a_deposit_that_was_not_paid_back_after_all_stays_within_the_price() -> None:
    job = make.job(price=100)
    receive(66, job=job)
    refund = payments.refund(job=job, amount=D(66), on=day(1))
    receive(100, 2, job=job)
    with pytest.raises(Refused, match=r"agreed at 100\.00 and 100\.00 is paid; 66\.00 is more"):
        payments.reverse(payment=refund, on=day(3))
