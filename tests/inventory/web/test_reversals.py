"""The one page of reversals: what it asks, and the day that it takes where none is entered."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from costing.models import SideHours
from costing.sell.expenses import services as expenses
from inventory.base.accounting import services as accounting
from inventory.web.reversals import ON, REASON, ReversalForm
from tests import factories

pytestmark = pytest.mark.django_db
DAY = date(2025, 3, 4)


@pytest.fixture
def row(db: None) -> SideHours:
    return expenses.spend_hours(kind="papers", minutes=Decimal(60), on=DAY, by=factories.owner())


@pytest.mark.parametrize("asks", [(), (ON,), (ON, REASON)])
def test_a_reversal_asks_what_it_is_said_to_ask_and_no_more(asks: tuple[str, ...]) -> None:
    assert {*ReversalForm(asks=asks).fields} == {"request_key", *asks}


def test_an_entry_is_reversed_on_its_own_day_where_none_is_entered(client: Client, row: SideHours) -> None:
    address = reverse("hours_reverse", args=[row.pk])
    assert client.get(address).context["form"].initial["on"] == DAY
    for _ in range(2):
        assert client.post(address, {"request_key": "k"}).status_code == 302
    (back,) = SideHours.objects.filter(reverses=row)
    assert (back.on, back.minutes) == (DAY, -60)


def test_an_entry_of_a_closed_day_is_offered_today(client: Client, row: SideHours) -> None:
    accounting.close_books(to=DAY, by=factories.owner())
    shown = client.get(reverse("hours_reverse", args=[row.pk])).context["form"].initial["on"]
    assert shown > DAY
