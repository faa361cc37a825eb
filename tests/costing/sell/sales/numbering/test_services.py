"""Numbers of papers: one after the other in their kind, under two hands at once too; how they are written."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.db import transaction

from costing.models import Payment, Sale, Series
from costing.sell.payments.services import Paid
from costing.sell.sales import services as selling
from costing.sell.sales.numbering import services as series
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from tests import factories as make
from tests.at_once import together

pytestmark = pytest.mark.django_db
D = Decimal
ON = date(2025, 5, 24)


def shop() -> None:
    """A paper names its seller."""
    workshop.set_up(name="Routamo Skins", maker="K. Routamo", postal_address="Kanervapolku 7")


def change(*, kind: str, prefix: str, digits: int = 3, by: User | None = None) -> Series:
    """One series alone."""
    return series.change_all(written={kind: (prefix, digits)}, by=by)[kind]


def sell(**more: object) -> Sale:
    return selling.sell(on=ON, items=[Item("other", D(10), "a brush")], **more)  # type: ignore[arg-type]


def test_each_kind_counts_by_itself_from_one() -> None:
    taken = [series.take(kind) for kind in ("sale", "sale", "invoice", "credit", "receipt", "sale")]
    assert taken == [(1, "S-001"), (2, "S-002"), (1, "INV-001"), (1, "CN-001"), (1, "R-001"), (3, "S-003")]


def test_a_number_grows_past_its_digits() -> None:
    series.take("sale")
    Series.objects.filter(kind="sale").update(last=999)
    assert series.take("sale") == (1000, "S-1000")


def test_a_refusal_in_the_transaction_gives_the_number_back() -> None:
    shop()
    sell()
    with pytest.raises(Refused, match="more"):
        sell(paid=[Paid(D(11))])
    with transaction.atomic():
        assert series.take("sale") == (2, "S-002")
        transaction.set_rollback(True)
    assert sell().number == "S-002"


def test_a_series_goes_on_from_the_papers_that_stand() -> None:
    shop()
    sell()
    Series.objects.all().delete()
    assert series.take("sale") == (2, "S-002")


@pytest.mark.usefixtures("shared_database")
def test_hands_that_sell_at_once_get_numbers_that_follow_each_other() -> None:
    shop()
    answers = together(*[lambda: sell(paid=[Paid(D(10))])] * 3)
    assert [type(answer) for answer in answers] == [Sale] * 3
    assert sorted(Sale.objects.values_list("number", flat=True)) == ["S-001", "S-002", "S-003"]
    assert sorted(Payment.objects.values_list("sequence", flat=True)) == [1, 2, 3]


@pytest.mark.usefixtures("shared_database")
def test_of_hands_that_take_at_once_a_refused_one_leaves_no_gap() -> None:
    shop()
    answers = together(sell, lambda: sell(paid=[Paid(D(11))]), sell)
    assert sum(isinstance(answer, Refused) for answer in answers) == 1
    assert sorted(Sale.objects.values_list("sequence", flat=True)) == [1, 2]


@pytest.mark.usefixtures("shared_database")
def test_a_change_of_how_it_is_written_and_a_first_paper_at_once_agree() -> None:
    shop()
    answers = together(sell, lambda: change(kind="sale", prefix="M", digits=4))
    assert isinstance(answers[0], Sale)
    row = Series.objects.get(kind="sale")
    if isinstance(answers[1], Refused):
        assert (row.prefix, answers[0].number) == ("S-", "S-001")
    else:
        assert (row.prefix, answers[0].number) == ("M", "M0001")


def test_a_series_is_written_as_the_maker_wants() -> None:
    change(kind="invoice", prefix="2025/", digits=4)
    assert series.take("invoice") == (1, "2025/0001")
    change(kind="receipt", prefix="", digits=1)
    assert series.take("receipt") == (1, "1")


def test_a_series_with_a_paper_stays_as_it_is_written() -> None:
    series.take("sale")
    for given in ({"prefix": "M", "digits": 3}, {"prefix": "S-", "digits": 4}):
        with pytest.raises(Refused, match="S-001 is issued already"):
            change(kind="sale", **given)  # type: ignore[arg-type]
    assert change(kind="sale", prefix="S-", digits=3).last == 1


@pytest.mark.parametrize("prefix", ["INV-", "inv-", "INV-0", "CN-", "CN-12"])
def test_no_two_kinds_of_paper_can_ever_carry_one_number(prefix: str) -> None:
    with pytest.raises(Refused, match="could carry one number") as refusal:
        change(kind="sale", prefix=prefix)
    assert refusal.value.field == "sale_prefix"
    assert series.take("sale") == (1, "S-001")


def test_a_prefix_of_figures_alone_runs_into_one_of_none() -> None:
    change(kind="sale", prefix="")
    with pytest.raises(Refused):
        change(kind="invoice", prefix="20")
    assert change(kind="invoice", prefix="20-").prefix == "20-"


def test_receipts_are_no_papers_of_sales_and_may_share_a_prefix() -> None:
    assert change(kind="receipt", prefix="S-").prefix == "S-"


def test_a_change_of_one_series_writes_no_other() -> None:
    change(kind="sale", prefix="M-")
    assert [row.kind for row in Series.objects.all()] == ["sale"]
    with pytest.raises(Refused, match="could carry one number"):
        change(kind="sale", prefix="CN-")


def test_two_series_may_change_places_at_once() -> None:
    series.change_all(written={"sale": ("INV-", 3), "invoice": ("S-", 3)})
    assert (series.take("sale")[1], series.take("invoice")[1]) == ("INV-001", "S-001")


@pytest.mark.parametrize(
    ("kind", "prefix", "digits", "field"),
    [
        ("sale", "A B", 3, "sale_prefix"),
        ("sale", "-", 3, "sale_prefix"),
        ("sale", "TOOLONGX-", 3, "sale_prefix"),
        ("sale", "M", 0, "sale_digits"),
        ("sale", "M", 10, "sale_digits"),
        ("barter", "M", 3, "kind"),
    ],
)
def test_a_way_of_writing_that_cannot_be_is_refused(kind: str, prefix: str, digits: int, field: str) -> None:
    with pytest.raises(Refused) as refusal:
        change(kind=kind, prefix=prefix, digits=digits)
    assert refusal.value.field == field
    assert series.take("sale") == (1, "S-001")


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_only_the_owner_says_how_numbers_are_written(role: str) -> None:
    with pytest.raises(NotAllowed):
        change(kind="sale", prefix="M", by=make.person(role))
