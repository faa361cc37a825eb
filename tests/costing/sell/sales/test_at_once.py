"""Two hands at the same moment: one sells, the other gets a clear answer, and no number is skipped or used twice."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import pytest

from costing.models import Job, Payment, Sale, Series
from costing.report.audit import selectors as audit
from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers import services as sellable
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.models import Article, Move
from inventory.places.moves import services as moves
from tests import factories as make
from tests.at_once import together
from tests.factories import DAY, Decimal, item

pytestmark = pytest.mark.usefixtures("shared_database")
D = Decimal


@pytest.fixture(autouse=True)
def _seller(shared_database: None) -> None:
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1")


def fresh(article: Article) -> Article:
    """As each process has it: an object of its own."""
    return Article.objects.get(pk=article.pk)


def told(answers: list[Any], match: str) -> list[str]:
    """What the losers were told; nobody may get anything but a paper or a refusal."""
    wrong = [answer for answer in answers if isinstance(answer, Exception) and not isinstance(answer, Refused)]
    assert wrong == []
    said = [str(answer) for answer in answers if isinstance(answer, Refused)]
    assert all(match in each for each in said), said
    return said


def numbers(kind: str) -> list[str]:
    return list(Sale.objects.filter(kind=kind).order_by("sequence").values_list("number", flat=True))


def test_of_two_who_sell_one_piece_one_is_told_by_which_paper_it_went() -> None:
    rug = make.article()
    answers = together(*[lambda: make.sale(fresh(rug))] * 3)
    assert len(told(answers, f"A1 left on {DAY} (sold by S-001). Credit that sale first")) == 2
    assert (numbers("sale"), Series.objects.get(kind="sale").last, Move.objects.count()) == (["S-001"], 1, 1)
    assert audit.findings() == []


def test_invoices_written_at_once_follow_each_other_without_a_gap() -> None:
    ann = make.customer()
    rugs = [make.article(f"A{nth}") for nth in range(4)]

    def bill(rug: Article) -> Callable[[], Sale]:
        return lambda: make.sale(fresh(rug), customer=ann, paid=[Paid()])

    answers = together(*map(bill, rugs), bill(rugs[0]))
    assert len(told(answers, "A0 left on")) == 1
    assert numbers("invoice") == [f"INV-00{nth}" for nth in range(1, 5)]
    assert sorted(Payment.objects.values_list("number", flat=True)) == [f"R-00{nth}" for nth in range(1, 5)]
    assert audit.findings() == []


def test_crossed_pieces_and_a_box_do_not_lock_each_other_out(monkeypatch: pytest.MonkeyPatch) -> None:
    judge = sellable.refuse_unsold

    def slowly(*given: Any, **more: Any) -> None:
        """Time for the other to take what this one wants next."""
        judge(*given, **more)
        time.sleep(0.05)

    monkeypatch.setattr(sellable, "refuse_unsold", slowly)
    rugs = [make.article(f"A{nth}") for nth in range(2)]
    box = make.material("BOX", "piece", on_hand=5, value=5)
    answers = together(
        lambda: make.sale(*map(fresh, rugs)),
        lambda: make.sale(*map(fresh, rugs[::-1])),
        lambda: make.sale(*map(fresh, rugs), box=ledger.Draw(box, D(1))),
        lambda: make.put(None, box, 1, tags=["H-A1"]),
    )
    assert len(told(answers, "left on")) == 2
    assert (numbers("sale"), audit.findings()) == (["S-001"], [])


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("other", ["give", "move"])
def test_a_piece_that_is_sold_and_taken_at_once_goes_one_way(other: str) -> None:
    rug, van = make.article(), make.place("Van", "van")
    acts: dict[str, Callable[[], Any]] = {
        "give": lambda: moves.out(article=fresh(rug), on=DAY, why="given"),
        "move": lambda: moves.move(thing=fresh(rug), to=van, on=DAY),
    }
    answers = together(lambda: make.sale(fresh(rug)), acts[other])
    assert len(told(answers, "left on")) == (1 if other == "give" or rug.moves.first().why == "sold" else 0)
    assert audit.findings() == []


def test_one_sale_is_credited_once() -> None:
    sale = make.sale(make.article(), paid=[Paid()])
    answers = together(
        *[lambda: credits.credit(sale=Sale.objects.get(pk=sale.pk), on=DAY, reason="x", refund=Paid())] * 2
    )
    assert len(told(answers, "Nothing is left to credit")) == 1
    assert (numbers("credit"), Payment.objects.count()) == (["CN-001"], 2)
    assert (Article.objects.get().gone_why, audit.findings()) == ("", [])
    assert sale.credited_by.count() == 1


def test_two_price_cuts_at_once_take_no_more_than_there_is() -> None:
    sale = make.sale(item(None, 100))
    line = sale.lines.get()

    def cut() -> Sale:
        found = Sale.objects.get(pk=sale.pk)
        return credits.credit(sale=found, on=DAY, reason="x", amounts={line.pk: D(60)})

    answers = together(cut, cut)
    assert sum("more than the" in str(answer) for answer in answers) == 1
    assert (numbers("credit"), audit.findings()) == (["CN-001"], [])


def test_one_job_is_billed_once() -> None:
    job, ann = make.job(), make.customer()
    answers = together(*[lambda: make.sale(type(job).objects.get(), customer=ann)] * 2)
    assert len(told(answers, "is billed already")) == 1
    assert (numbers("invoice"), audit.findings()) == (["INV-001"], [])


def test_a_deposit_and_the_bill_at_once_leave_no_money_astray() -> None:
    job, ann = make.job(price=100), make.customer()
    fetched = type(job).objects.get
    answers = together(
        lambda: make.sale(fetched(), customer=ann, paid=[Paid()]),
        lambda: payments.receive(amount=D(60), on=DAY, job=fetched()),
    )
    told(answers, "Enter the money on its invoice")
    assert sum((row.amount for row in Payment.objects.all()), D(0)) == 100
    assert audit.findings() == []


def test_an_invoice_is_not_paid_twice() -> None:
    bill = make.sale(item(None, 100), customer=make.customer())
    answers = together(*[lambda: payments.receive(amount=D(100), on=DAY, sale=Sale.objects.get(pk=bill.pk))] * 3)
    assert len(told(answers, "0.00 is the balance due")) == 2
    assert (Payment.objects.get().number, audit.findings()) == ("R-001", [])


def test_money_is_not_paid_back_and_reversed_at_once() -> None:
    sale = make.sale(item(None, 100), paid=[Paid()])
    paid = Payment.objects.get()
    answers = together(
        lambda: credits.credit(sale=Sale.objects.get(pk=sale.pk), on=DAY, reason="x", refund=Paid(D(100))),
        lambda: payments.reverse(payment=paid),
    )
    assert len(told(answers, "paid")) == 1
    assert sum((row.amount for row in Payment.objects.all()), D(0)) == 0
    assert audit.findings() == []


def test_one_key_sells_once_from_two_senders() -> None:
    rug = make.article()
    first, second = together(*[lambda: make.sale(fresh(rug), request_key="k")] * 2)
    assert isinstance(first, Sale)
    assert first == second


def test_a_deposit_is_paid_back_once() -> None:
    job = make.job(price=165, finished=False)
    payments.receive(amount=D(66), on=DAY, job=job)
    answers = together(*[lambda: payments.refund(amount=D(40), on=DAY, job=Job.objects.get(pk=job.pk))] * 3)
    assert len(told(answers, "26.00 is held for J-01")) == 2
    assert sorted(Payment.objects.values_list("number", flat=True)) == ["R-001", "R-002"]
    assert audit.findings() == []


def test_a_job_is_given_up_once_and_what_was_held_goes_back_once() -> None:
    job = make.job(price=165, finished=False)
    bath = make.batch("B1", tags=["H-J-01"])
    make.put(bath, make.material("SALT", on_hand=5, value=5), 1)
    payments.receive(amount=D(66), on=DAY, job=job)

    def give_up() -> Job:
        mine = Job.objects.get(pk=job.pk)
        return cancellations.cancel(job=mine, on=DAY, reason="moves away", kept=D(20), refund=Paid())

    answers = together(give_up, give_up, lambda: make.work(batch=bath, minutes=10))
    assert len(told(answers, "J-01 was")) == 1
    assert (numbers("invoice"), sum(Payment.objects.values_list("amount", flat=True))) == (["INV-001"], 20)
    assert audit.findings() == []
