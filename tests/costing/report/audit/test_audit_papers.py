"""The audit of papers and money must be able to fail: each test breaks one record by hand and reads its name."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from pytest_django import DjangoDbBlocker

from costing.make.losses import services as losses
from costing.models import Expense, Job, Payment, Sale, SaleLine, Series
from costing.report.audit import selectors as audit, selectors as audit_papers
from costing.sell.expenses.services import Cost
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Item
from inventory.base import selectors as workshop
from inventory.models import Article, Move
from inventory.places.moves import services as moves
from tests import factories as make
from tests.factories import DAY, item

pytestmark = pytest.mark.django_db
D = Decimal
LATER = DAY + timedelta(days=1)


@pytest.fixture(scope="module")
def standing(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The books, written once in an outer transaction: each test breaks them in a savepoint of its own."""
    with django_db_blocker.unblock(), transaction.atomic():
        workshop.forget()
        sell()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def books(standing: None, db: None) -> None:
    """The books, free to be broken."""


def sell() -> None:
    """Sold and paid, sold and back, given, cut, billed with a deposit, a gallery's fee, a taken back payment, all three series."""
    make.registered(prices_with_tax=False)
    rate = {"tax_percent": D("25.5")}
    ann = make.customer()
    make.sale(item(make.article("A1"), "33.33", **rate), item(None, "0.99", **rate), paid=[Paid()])
    back = make.sale(item(make.article("A2"), 60, **rate), Item("other", D(5), words="wax", **rate), customer=ann)
    credits.credit(sale=back, on=DAY, reason="cut", amounts={back.lines.get(kind="article").pk: D(7)})
    credits.credit(sale=back, on=LATER, reason="back", lines=[back.lines.get(kind="article")])
    job = make.job("J-01", price=165)
    payments.receive(amount=D(66), on=DAY, job=job)
    make.sale(item(job, 165, **rate), customer=ann, paid=[Paid(D(10))])
    sent = make.sale(item(make.article("A3"), 140, **rate), customer=ann, spent=[Cost("fee", D(49), withheld=True)])
    payments.reverse(payment=payments.receive(amount=D(5), on=DAY, sale=sent))
    losses.lose(skin=make.skin("H05"), on=DAY, reason="slipped")
    moves.out(article=make.article("A4"), on=DAY, why="given")
    make.article("A5")
    payments.receive(amount=D(20), on=DAY, job=make.job("J-02", finished=False))


def change(model: type[Any], where: dict[str, Any], **to: Any) -> Callable[[], object]:
    return lambda: model.objects.filter(**where).update(**to)


def unsell() -> None:
    Article.objects.filter(number="A1").update(gone_on=None, gone_why="")
    Move.objects.filter(article__number="A1").delete()


BREAKS: dict[str, tuple[Callable[[], object], str]] = {
    "gone and not moved": (
        change(Article, {"number": "A5"}, gone_on=DAY, gone_why="given"),
        f"Article A5 is marked given on {DAY}; its last move says here.",
    ),
    "moved and not gone": (
        change(Article, {"number": "A4"}, gone_on=None, gone_why=""),
        f"Article A4 is marked here; its last move says given on {DAY}.",
    ),
    "gone on another day": (
        change(Article, {"number": "A4"}, gone_on=LATER),
        f"Article A4 is marked given on {LATER}; its last move says given on {DAY}.",
    ),
    "gone for another reason": (
        change(Article, {"number": "A4"}, gone_why="spoiled"),
        "Article A4 is marked spoiled on",
    ),
    "a last move taken back": (
        change(Move, {"why": "given"}, reversed_at="2025-04-01T00:00Z"),
        f"Article A4 is marked given on {DAY}; its last move says here.",
    ),
    "sold and here": (unsell, "A1 is sold on S-001, and is here."),
    "sold and given": (change(Article, {"number": "A1"}, gone_why="given"), "A1 is sold on S-001, and is given."),
    "gone as sold without a sale": (
        change(SaleLine, {"article__number": "A1"}, standing=False),
        "A1 is gone as sold, and no sale stands for it.",
    ),
    "billed and not handed over": (
        change(Job, {"number": "J-01"}, handed_over_on=None),
        "J-01 is billed on INV-002, and is not handed over.",
    ),
    "handed over and not billed": (
        change(SaleLine, {"job__number": "J-01"}, standing=False),
        f"J-01 was handed over on {DAY}, and no paper stands for it.",
    ),
    "a line's net": (
        change(SaleLine, {"words": "Postage"}, net=D("1.00")),
        "S-001 says 34.32 net; its lines add up to",
    ),
    "a line's tax": (change(SaleLine, {"words": "Postage"}, tax=D("0.26")), "S-001 says 8.75 tax; its lines add up to"),
    "a line's gross": (
        change(SaleLine, {"words": "Postage"}, gross=D(9)),
        "S-001 says 43.07 gross; its lines add up to",
    ),
    "a paper's total": (change(Sale, {"number": "INV-003"}, gross=D(1)), "INV-003 says 1.00 gross; its lines add up"),
    "a paper's tax": (change(Sale, {"number": "INV-003"}, tax=D(1)), "140.00 and 1.00 tax are not 175.70"),
    "a credit's total": (
        change(Sale, {"number": "CN-001"}, net=D(-8)),
        "CN-001 says −8.00 net; its lines add up to −7",
    ),
    "the price of a credited line": (
        change(SaleLine, {"sale__number": "CN-001"}, asked=D("7.50")),
        "CN-001, “Price cut: A2 rug, Sheep”: −7.00; price and discount say −7.50.",
    ),
    "the rate of a credited line": (
        change(SaleLine, {"sale__number": "CN-001"}, tax_percent=D(14)),
        "CN-001, “Price cut: A2 rug, Sheep” is credited at another rate than it was sold at.",
    ),
    "a discount above the price": (
        change(SaleLine, {"words": "Postage"}, discount=D(2)),
        "S-001 could not have been written as it stands: A discount of 2.000 on “Postage” cannot be",
    ),
    "a line that is gone": (lambda: SaleLine.objects.filter(words="Postage").delete(), "S-001 says 34.32 net"),
    "a paper without a number": (change(Sale, {"number": "INV-002"}, number="INV-2"), "Series invoice: "),
    "a gap in a series": (change(Sale, {"number": "INV-003"}, number="INV-004", sequence=4), "INV-003"),
    "a receipt that is gone": (lambda: Payment.objects.filter(number="R-002").delete(), "R-002"),
    "the last receipts gone": (
        lambda: Payment.objects.filter(number="R-006").delete(),
        "Series receipt for money counts 6; its next number would be R-006.",
    ),
    "a count that runs ahead": (
        change(Series, {"kind": "credit"}, last=5),
        "Series credit note counts 5; its next number would be CN-003.",
    ),
    "a count that stays behind": (
        change(Series, {"kind": "sale"}, last=0),
        "Series sale over the counter counts 0; its next number would be S-002.",
    ),
    "a number counted otherwise": (
        change(Sale, {"number": "S-001"}, sequence=9),
        "S-001 is counted as 9 in its series.",
    ),
    "a series that is gone": (
        lambda: Series.objects.filter(kind="sale").delete(),
        "S-001 is issued, and its series (sale) is not there.",
    ),
    "paid above what was owed": (
        change(Payment, {"number": "R-001"}, amount=D(44)),
        "S-001: 43.07 was owed, and 44.00 is paid.",
    ),
    "paid above what the deposit left": (
        change(Payment, {"number": "R-003"}, amount=D("141.09")),
        "INV-002: 141.08 was owed, and 141.09 is paid.",
    ),
    "withheld above what was owed": (
        change(Expense, {"withheld": True}, amount=D(176)),
        "INV-003: 175.70 was owed, and 176.00 is paid.",
    ),
    "paid back above what came": (
        change(Payment, {"number": "R-005"}, amount=D("-5.01")),
        "INV-003: 0.01 more is paid back than was ever paid.",
    ),
    "a deposit above the price": (
        change(Job, {"number": "J-02"}, price=D(19)),
        "J-02 is agreed at 19.00; 20.00 is paid.",
    ),
    "credited above the invoice": (
        change(Sale, {"number": "CN-002"}, gross=D(-90)),
        "INV-001 came to 81.58; 98.79 of it is credited.",
    ),
}


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("name", BREAKS)
def test_a_broken_record_is_named_and_the_check_of_the_books_fails(books: None, name: str) -> None:
    breaking, said = BREAKS[name]
    breaking()
    out = StringIO()
    with pytest.raises(CommandError) as ended:
        call_command("check_books", stdout=out)
    assert ended.value.returncode == 1
    assert said in out.getvalue()


def test_books_that_nobody_broke_are_clean(books: None) -> None:
    assert audit.findings() == []


@pytest.mark.thorough
@pytest.mark.slow
def test_four_more_sales_are_audited_with_as_many_queries(books: None) -> None:
    def fill(number: int) -> None:
        things = [item(thing, tax_percent=D(24)) for thing in (make.article(f"A{number}"), make.job(f"J-{number}"))]
        sale = make.sale(*things, customer=make.customer(), paid=[Paid(D(5))])
        credits.credit(sale=sale, on=DAY, reason="x", lines=[sale.lines.get(kind="article")])

    with CaptureQueriesContext(connection) as one:
        list(audit_papers.findings_of_papers())
    for number in (11, 12, 13, 14):
        fill(number)
    with CaptureQueriesContext(connection) as many:
        assert list(audit_papers.findings_of_papers()) == []
    assert len(many) == len(one)
