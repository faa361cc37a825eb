from __future__ import annotations

import time
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory.base import checks, selectors as read
from inventory.base.accounting import selectors as accounting, services as workshop
from inventory.errors import ClosedPeriod, Refused
from inventory.ledger.audit import selectors as audit
from inventory.models import Closing, CostFlowChange, Lot, Movement, Posting, Workshop
from inventory.people import services as people
from tests.at_once import together
from tests.factories import DAY, material, receive, skin, take

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def bookkeeper() -> User:
    return people.add(name="beata", role="bookkeeper")


def test_a_new_workshop_keeps_euros_by_the_average_and_is_not_yet_written() -> None:
    row = read.current()
    assert (row.currency, row.cost_flow, row.closed_to, Workshop.objects.count()) == ("EUR", "average", None, 0)


def test_set_up_changes_what_is_given_and_keeps_the_rest() -> None:
    workshop.set_up(name="Routamo Skins", currency="GBP")
    row = workshop.set_up(maker="K. Routamo")
    assert (row.name, row.maker, row.currency) == ("Routamo Skins", "K. Routamo", "GBP")


@pytest.mark.parametrize("texts", [{"name": ""}, {"name": "x" * 81}, {"maker": "a\x07"}, {"postal_address": "a\x00"}])
def test_texts_that_cannot_be_kept_are_refused(texts: dict[str, str]) -> None:
    with pytest.raises(Refused):
        workshop.set_up(**texts)
    assert not Workshop.objects.exists()


def test_an_unknown_currency_is_refused() -> None:
    with pytest.raises(Refused, match="is not a currency in circulation"):
        workshop.set_up(currency="XAU")


def test_the_currency_may_change_while_the_books_are_empty() -> None:
    material()
    assert workshop.set_up(currency="JPY").currency == "JPY"
    assert read.places() == 0


@pytest.mark.parametrize("entry", [lambda: material(on_hand=1), lambda: skin(price=12)])
def test_the_currency_stays_once_money_is_in_the_books(entry: object) -> None:
    entry()  # type: ignore[operator]
    with pytest.raises(Refused, match="entries exist, so the currency stays"):
        workshop.set_up(currency="USD")
    assert workshop.set_up(currency="EUR").currency == "EUR"


def test_an_unknown_cost_flow_is_refused() -> None:
    with pytest.raises(Refused, match="choose one of average, fifo"):
        workshop.set_up(cost_flow="lifo")


def test_a_change_to_first_in_first_out_spreads_the_shelf_over_its_lots_and_keeps_the_total() -> None:
    alum = material(on_hand=1, value="4.00")
    receive(alum, 1, "9.00")
    receive(alum, 1, "9.01")
    take(alum, "0.5")
    alum.refresh_from_db()
    workshop.set_up(cost_flow="fifo")
    lots = list(Lot.objects.order_by("pk").values_list("quantity", "value"))
    assert lots == [(D(500), D("3.67")), (D(1000), D("7.33")), (D(1000), D("7.34"))]
    assert alum.value == D("18.34")
    assert list(audit.findings()) == []


def test_a_change_back_to_the_average_takes_the_value_off_the_lots() -> None:
    workshop.set_up(cost_flow="fifo")
    alum = material(on_hand=1, value="4.00")
    workshop.set_up(cost_flow="average")
    assert Lot.objects.get().value == 0
    alum.refresh_from_db()
    assert alum.value == D("4.00")
    assert list(audit.findings()) == []


def test_free_goods_drawn_first_in_first_out_stay_explained_under_the_average() -> None:
    workshop.set_up(cost_flow="fifo")
    alum = material(on_hand=1, value=0)
    receive(alum, 1, "9.00")
    take(alum, "0.5")
    workshop.set_up(cost_flow="average")
    assert list(audit.findings()) == []


def test_closed_books_open_again_by_an_earlier_day_or_none() -> None:
    alum = material(on_hand=1)
    workshop.close_books(to=DAY + timedelta(days=5))
    with pytest.raises(ClosedPeriod):
        take(alum, "0.1", DAY + timedelta(days=5))
    workshop.close_books(to=DAY, reason="one bill more")
    take(alum, "0.1", DAY + timedelta(days=5))
    workshop.close_books(to=None, reason="one more")
    take(alum, "0.1", DAY)


def test_the_calendar_stands_where_it_is_pinned() -> None:
    workshop.pin_today(on=DAY)
    assert read.today() == DAY
    workshop.pin_today(on=None)
    assert read.today() == timezone.localdate()


def test_within_a_request_the_row_is_read_once_and_writers_are_seen(django_assert_num_queries) -> None:  # type: ignore[no-untyped-def]
    workshop.set_up(currency="EUR")
    with read.remembered():
        with django_assert_num_queries(1):
            assert [read.places(), read.places(), read.current().currency] == [2, 2, "EUR"]
        workshop.set_up(currency="JPY")
        assert read.places() == 0


def test_books_closed_while_the_workshop_is_described_stay_closed(shared_database: None) -> None:
    workshop.set_up(name="Before")
    closed: list[str] = []

    def slowly(value: str, what: str, **more: Any) -> str:
        """Time for the other to close the books between reading and writing."""
        closed.append(what)
        time.sleep(0.2)
        return str(real(value, what, **more))

    real = checks.text
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(checks, "text", slowly)
        answers = together(lambda: workshop.set_up(name="After"), lambda: workshop.close_books(to=DAY))
    assert [type(answer).__name__ for answer in answers] == ["Workshop", "Workshop"]
    row = Workshop.objects.get()
    assert (row.name, row.closed_to, "name" in closed) == ("After", DAY, True)


def test_another_method_holds_from_today_on_and_past_costs_stay() -> None:
    workshop.pin_today(on=DAY)
    alum = material(on_hand=1, value="4.00")
    receive(alum, 1, "9.00")
    before = list(Movement.objects.order_by("pk").values_list("value", flat=True))
    workshop.set_up(cost_flow="fifo")
    change = CostFlowChange.objects.get()
    assert (change.since, change.was, change.cost_flow, change.after) == (
        DAY,
        "average",
        "fifo",
        Posting.objects.order_by("pk").last(),
    )
    assert list(Movement.objects.order_by("pk").values_list("value", flat=True)) == before
    assert accounting.method_words(DAY - timedelta(days=1)) == "weighted average"
    assert accounting.method_words(DAY).startswith("first in, first out, since")


def test_before_anything_is_posted_there_is_no_change_to_keep() -> None:
    material()
    workshop.set_up(cost_flow="fifo")
    assert not CostFlowChange.objects.exists()
    assert accounting.first_cost_flow() == "fifo"


def test_a_method_of_the_closed_period_stays() -> None:
    workshop.pin_today(on=DAY)
    material(on_hand=1)
    workshop.close_books(to=DAY)
    with pytest.raises(ClosedPeriod) as refusal:
        workshop.set_up(cost_flow="fifo")
    assert refusal.value.field == "cost_flow"
    assert read.current().cost_flow == "average"


def test_changes_of_the_method_are_in_the_order_of_their_days() -> None:
    material(on_hand=1)
    workshop.change_cost_flow(cost_flow="fifo", since=DAY)
    with pytest.raises(Refused, match="so the next change is of that day or later"):
        workshop.change_cost_flow(cost_flow="average", since=DAY - timedelta(days=1))
    with pytest.raises(Refused, match="first in, first out already"):
        workshop.change_cost_flow(cost_flow="fifo", since=DAY)


def test_each_closing_and_opening_is_kept_with_who_and_why(bookkeeper: User) -> None:
    workshop.close_books(to=DAY, by=bookkeeper)
    workshop.close_books(to=DAY, by=bookkeeper)  # the same day again changes nothing
    for earlier in (DAY - timedelta(days=1), None):
        with pytest.raises(Refused, match="Say why") as refusal:
            workshop.close_books(to=earlier, by=bookkeeper)
        assert refusal.value.field == "reason"
    assert read.current().closed_to == DAY
    workshop.close_books(to=None, reason="the March bill was missing", by=bookkeeper)
    kept = list(Closing.objects.order_by("pk").values_list("who", "was", "to", "reason"))
    assert kept == [
        (bookkeeper.username, None, DAY, ""),
        (bookkeeper.username, DAY, None, "the March bill was missing"),
    ]


def test_a_closing_that_is_brought_begins_as_the_one_before_it_left_the_books() -> None:
    at = timezone.now()
    workshop.bring_closing(at=at, who="Aino", was=None, to=DAY, reason="")
    for later, was in ((at, None), (at - timedelta(days=1), DAY)):
        with pytest.raises(Refused, match="Closings are in their order"):
            workshop.bring_closing(at=later, who="", was=was, to=DAY, reason="")
    with pytest.raises(Refused, match="Say why"):
        workshop.bring_closing(at=at, who="", was=DAY, to=None, reason="")
