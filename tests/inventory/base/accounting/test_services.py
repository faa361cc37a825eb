from __future__ import annotations

import time
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from inventory.base import checks, selectors as read
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, Refused
from inventory.ledger.audit import selectors as audit
from inventory.models import Lot, Workshop
from tests.at_once import together
from tests.factories import DAY, material, receive, skin, take

pytestmark = pytest.mark.django_db
D = Decimal


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
    workshop.close_books(to=DAY)
    take(alum, "0.1", DAY + timedelta(days=5))
    workshop.close_books(to=None)
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
    assert (row.name, row.closed_to, closed) == ("After", DAY, ["name"])
