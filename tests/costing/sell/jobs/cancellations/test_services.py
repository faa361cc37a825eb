"""A job that ends undone: the skin goes home, its cost stops, and no money of the customer's stays behind."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from costing.make.losses import selectors as gone_home, services as losses
from costing.make.recipes import services as recipes
from costing.make.steps.agenda import selectors as dues
from costing.models import Job, Payment, Sale
from costing.report.audit import selectors as audit
from costing.report.disposals import selectors as disposals
from costing.report.losses import selectors as loss_reads
from costing.report.valuation import selectors as stock_value
from costing.report.year.profit import selectors as results
from costing.sell.jobs import selectors as read, services as jobs
from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.jobs.quotes import selectors as asking
from costing.sell.payments import selectors as ledgers, selectors as money, services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.models import Move, Place, Skin
from tests import factories as make
from tests.factories import DAY

pytestmark = pytest.mark.django_db
D = Decimal
END = DAY + timedelta(days=10)


def undone(*, deposit: str | int = 66, **details: Any) -> Job:
    """A job of 165 on a skin in the tub since DAY, beside one of the maker's own, with an hour and 10.00 of materials in each."""
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1, Utuharju")
    workshop.pin_today(on=END)
    job = make.job(price=165, finished=False, **details)
    Skin.objects.filter(pk=job.skin.pk).update(place=make.place("Tub", Place.Kind.TUB))
    make.skin("H01")
    steps = [recipes.Step("alum bath", lasts_days=14, every_days=1, repeat="turn", uses="tub")]
    bath = make.batch("B1", version=make.recipe("R1", steps=steps), tags=["H-J-01", "H01"])
    make.put(bath, make.material("SALT", on_hand=20, value=40), 10)
    make.work(batch=bath, minutes=120)
    if deposit:
        payments.receive(job=job, amount=D(deposit), on=DAY)
    job.skin.refresh_from_db()
    return job


def cancel(job: Job, nth: int = 10, **given: Any) -> Job:
    return cancellations.cancel(**{"job": job, "on": DAY + timedelta(days=nth), "reason": "wants it back", **given})


def stands(number: str = "J-01", on: date = END) -> read.Standing:
    return read.standing(read.listed().get(number=number), on)


def test_the_skin_goes_home_that_day_and_takes_no_cost_after_it() -> None:
    job = cancel(undone(), refund=Paid())
    skin = Skin.objects.get(tag="H-J-01")
    assert (job.given_up_on, job.given_up_why, job.given_back) == (END, "wants it back", True)
    assert (skin.stage, skin.lost_on, skin.lost_reason, skin.place) == ("lost", END, "wants it back", None)
    assert skin.stays.get().left_on == END
    move = Move.objects.get(skin=skin)
    assert (str(move.origin), move.to, move.on, move.note) == ("Tub", None, END, "J-01")
    before = stock_value.at(END).gone["delivered"]
    make.work(on=END + timedelta(days=1), minutes=60, batch=skin.stays.get().batch)
    with pytest.raises(Refused, match="takes no cost after that day"):
        make.put(None, make.material("OIL", on_hand=1, value=1), 1, on=END + timedelta(days=1), tags=["H-J-01"])
    assert stock_value.at(END + timedelta(days=5)).gone["delivered"] == before == 10
    assert audit.findings() == []


def test_what_was_paid_is_paid_back_in_whole() -> None:
    job = cancel(undone(), refund=Paid(how="bank"))
    back = Payment.objects.get(amount__lt=0)
    assert (back.number, back.amount, back.how, back.on, back.job) == ("R-002", -66, "bank", END, job)
    assert [money.deposits_held(DAY + timedelta(days=nth)) for nth in (9, 10)] == [66, 0]
    assert ledgers.owing(END).deposits == []
    assert not Sale.objects.exists()


def test_what_is_kept_is_billed_and_the_rest_is_paid_back_on_the_bill() -> None:
    job = cancel(undone(), kept=D(20), refund=Paid())
    bill = Sale.objects.get()
    line = bill.lines.get()
    assert (bill.number, bill.gross, line.words) == ("INV-001", 20, "J-01 work until it was cancelled")
    assert (line.book, line.full, line.own_minutes) == (10, 10, 60)
    assert Payment.objects.get(amount__lt=0).amount == -46
    balance = money.balance(money.settled().get(pk=bill.pk), END)
    assert (balance.left, balance.overpaid, money.deposits_held(END)) == (0, 0, 0)
    assert (job.given_up_on, stands().state, stands().sale, stands().left) == (END, "given", bill, 0)
    assert audit.findings() == []
    year = results.year(DAY.year)
    assert (year.turnover, year.unaccounted, year.bridge.miss, year.gone.sold, year.gone.spoiled) == (
        20, 0, 0, 10, 0,
    )  # fmt: skip


def test_what_is_kept_above_the_deposit_stays_to_be_paid() -> None:
    cancel(undone(), kept=D(80), paper="sale")
    assert (Sale.objects.get().number, stands().left) == ("S-001", 14)


def test_a_job_without_money_ends_without_any() -> None:
    cancel(undone(deposit=0), refund=Paid())
    assert not Payment.objects.exists()
    assert (stands().state, stands().left, stands().deposit, stands().place) == ("given", 0, 0, None)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(
    ("given", "match", "field"),
    [
        ({}, r"66\.00 of Ann Hill's money would stay here. Pay it back, or bill what you keep", "amount"),
        ({"refund": Paid(D(60))}, r"6\.00 of Ann Hill's money would stay", "amount"),
        ({"kept": D(20)}, r"46\.00 of Ann Hill's money would stay", "amount"),
        ({"refund": Paid(D(67))}, r"66\.00 is held for J-01", "amount"),
        ({"kept": D(20), "refund": Paid(D(47))}, r"46\.00 was paid too much on INV-001", "amount"),
        ({"kept": D(-1)}, "negative", "kept"),
        ({"kept": D("0.001")}, "decimals", "kept"),
        ({"nth": -1}, "was taken on", "on"),
        ({"reason": " "}, "is missing", "reason"),
        ({"refund": Paid(how="gold")}, "choose one of cash", "how"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(given: dict[str, Any], match: str, field: str) -> None:
    job = undone()
    with pytest.raises(Refused, match=match) as refusal:
        cancel(job, **given)
    assert refusal.value.field == field
    job.refresh_from_db()
    assert (job.given_up_on, Skin.objects.get(tag="H-J-01").stage) == (None, "in_work")
    assert (Payment.objects.count(), Sale.objects.count(), Move.objects.count()) == (1, 0, 0)


def test_what_is_finished_or_handed_over_is_not_given_up() -> None:
    job = make.job(on=DAY)
    with pytest.raises(Refused, match=r"H-J-01 is finished. Hand it over and bill it"):
        cancel(job)
    make.sale(make.item(job, 100), customer=make.customer(), on=END)
    with pytest.raises(Refused, match=r"was handed over on .* Credit its invoice"):
        cancel(job)


def test_it_is_given_up_once_and_then_is_left_as_it_is() -> None:
    job = cancel(undone(), refund=Paid())
    with pytest.raises(Refused, match=r"was cancelled on .* already"):
        cancel(job)
    with pytest.raises(Refused, match=r"was cancelled on .* Reopen it first"):
        jobs.change(job=job, work="taw", price=D(1), deposit=D(0))
    with pytest.raises(Refused, match="no deposit is taken on it after"):
        payments.receive(job=job, amount=D(1), on=END + timedelta(days=1))
    with pytest.raises(Refused, match="bill the work so far from then on"):
        selling.sell(on=DAY, customer=job.customer, items=[Item("work", D(5), job=job)], kind="invoice")
    assert payments.receive(job=job, amount=D(1), on=END).on == END, "of that day itself a deposit may be written late"


def test_work_written_on_the_skin_later_stands_in_the_way() -> None:
    job = undone()
    make.work(on=END, minutes=5, tags=["H-J-01"])
    with pytest.raises(Refused, match="Work or materials are written on H-J-01 after"):
        cancel(job, 5, refund=Paid())


def test_a_lost_skin_stays_lost_and_its_job_is_settled() -> None:
    job = undone()
    losses.lose(skin=job.skin, on=DAY + timedelta(days=3), reason="slipped")
    with pytest.raises(Refused, match="was lost on"):
        cancel(job, 2, refund=Paid())
    with pytest.raises(Refused, match=r"H-J-01 of J-01 was lost on .*\. Cancel the job"):
        make.sale(make.item(job, 20), customer=make.customer(), on=END)
    cancel(job, refund=Paid())
    skin = Skin.objects.get(tag="H-J-01")
    assert (job.given_back, skin.lost_on, skin.lost_reason) == (False, DAY + timedelta(days=3), "slipped")
    assert set(gone_home.lost(Skin.objects.all())) == {skin}
    with pytest.raises(Refused, match=r"J-01 on H-J-01 is cancelled. Reopen it first"):
        losses.reverse(skin=skin)
    cancellations.reopen(job=job)
    assert (stands().state, Skin.objects.get(tag="H-J-01").stage) == ("lost", "lost")


def test_a_skin_that_went_home_is_in_no_loss_rate_and_no_due_list() -> None:
    job = undone()
    make.skin("H02")
    losses.lose(skin=Skin.objects.get(tag="H02"), on=DAY, reason="slipped")
    cancel(job, refund=Paid())
    found = {fate.skin: fate.lost_at for fate in loss_reads.fates()}
    assert (found["H-J-01"], found["H02"]) == ("", loss_reads.RAW)
    assert [row.tag for row in loss_reads.recent()] == ["H02"]
    assert [
        (row["reason"], row["amount"]) for row in disposals.summed(DAY, END) if row["kind"] == disposals.SPOILED
    ] == [("slipped", 12)]
    assert loss_reads.proposed("Sheep").lost == 1
    make.finish("H01", on=END)
    asked = asking.quote("Sheep")
    assert asked is not None
    assert (asked.loss.lost, asked.loss.of) == (1, 2)
    assert all("H-J-01" not in [skin.tag for skin in task.skins] for task in dues.tasks(END))
    assert read.in_state(Job.objects.all(), "open").count() == 0
    assert list(read.in_state(Job.objects.all(), "given")) == [job]


def test_taken_back_the_skin_stands_in_its_tub_as_if_nothing_had_been() -> None:
    job = cancel(undone(deposit=0))
    cancellations.reopen(job=job)
    skin = Skin.objects.get(tag="H-J-01")
    assert (job.given_up_on, job.given_up_why, job.given_back) == (None, "", False)
    assert (skin.stage, skin.lost_on, str(skin.place), skin.stays.get().left_on) == ("in_work", None, "Tub", None)
    with pytest.raises(Refused, match="J-01 is not cancelled"):
        cancellations.reopen(job=job)
    assert audit.findings() == []


def test_it_is_not_taken_back_while_its_bill_stands() -> None:
    job = cancel(undone(), kept=D(66))
    bill = Sale.objects.get()
    with pytest.raises(Refused, match=r"INV-001 bills the work on J-01.* Credit it first"):
        cancellations.reopen(job=job)
    credits.credit(sale=bill, on=END, reason="x")
    job.refresh_from_db()
    assert (job.handed_over_on, money.deposits_held(END), stands().deposit) == (None, 66, 66)
    cancellations.reopen(job=job)
    assert (stands().state, stands().left) == ("work", 99)


def test_what_a_credit_of_its_bill_frees_is_paid_back_or_billed_anew() -> None:
    job = cancel(undone(), kept=D(66))
    credits.credit(sale=Sale.objects.get(), on=END, reason="x")
    again = make.sale(make.item(job, 60), customer=make.customer(), on=END)
    assert money.owed_back(again, END) == 6
    assert audit.findings() == []


def test_nothing_is_given_up_in_closed_books() -> None:
    job = undone(deposit=0)
    workshop.close_books(to=END)
    with pytest.raises(ClosedPeriod):
        cancel(job)


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize(("role", "may"), [("owner", True), ("bookkeeper", False), ("helper", False)])
def test_who_sells_gives_up(role: str, may: bool) -> None:
    job, by = undone(deposit=0), make.person(role)
    if may:
        cancel(job, by=by)
        cancellations.reopen(job=job, by=by)
        return
    with pytest.raises(NotAllowed):
        cancel(job, by=by)
    with pytest.raises(NotAllowed):
        cancellations.reopen(job=job, by=by)


def test_one_key_gives_up_once() -> None:
    job = undone()
    assert cancel(job, refund=Paid(), request_key="k") == cancel(job, refund=Paid(), request_key="k")
    assert cancellations.reopen(job=job, request_key="b") == cancellations.reopen(job=job, request_key="b")
    assert Payment.objects.count() == 2
