"""What goods would be worth if they left the shelf now, without their leaving it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.base.accounting import services as workshop
from inventory.ledger import selectors as leaving
from inventory.models import CostFlow, Movement
from tests import factories

pytestmark = pytest.mark.django_db
ON = date(2025, 3, 31)


def test_the_last_draw_takes_all_that_is_left() -> None:
    salt = factories.material("SALT", on_hand=3, value="10.00")
    draws = [(salt, Decimal(1000)) for _ in range(3)]
    assert leaving.worth(draws, ON) == [Decimal("3.33"), Decimal("3.34"), Decimal("3.33")]


def test_first_in_first_out_gives_the_oldest_first() -> None:
    workshop.set_up(cost_flow=CostFlow.FIFO)
    salt = factories.material("SALT", on_hand=2, value="2.00")
    factories.receive(salt, 2, "8.00")
    salt.refresh_from_db()
    assert leaving.worth([(salt, Decimal(3000)), (salt, Decimal(1000))], ON) == [Decimal("6.00"), Decimal("4.00")]


def test_more_than_is_there_is_priced_like_what_is_there() -> None:
    salt = factories.material("SALT", on_hand=1, value="2.00")
    assert leaving.worth([(salt, Decimal(2500))], ON) == [Decimal("5.00")]


def test_of_an_empty_shelf_no_price_is_made_up() -> None:
    assert leaving.worth([(factories.material("SALT"), Decimal(1))], ON) == [None]


def test_a_day_in_the_past_is_priced_by_its_own_average() -> None:
    salt = factories.material("SALT", on_hand=1, value="4.00")
    factories.receive(salt, 1, "9.00", on=date(2025, 3, 20))
    salt.refresh_from_db()
    draw = [(salt, Decimal(500))]
    assert leaving.worth(draw, date(2025, 3, 10)) == [Decimal("2.00")]
    assert leaving.worth(draw, ON) == [Decimal("3.25")]
    assert factories.take(salt, "0.5", on=date(2025, 3, 10)).movements.get().value == Decimal("-2.00")


def test_looking_moves_nothing() -> None:
    salt = factories.material("SALT", on_hand=1, value="4.00")
    before = Movement.objects.count()
    leaving.worth([(salt, Decimal(500))], ON)
    salt.refresh_from_db()
    assert (salt.on_hand, Movement.objects.count()) == (Decimal(1000), before)


@pytest.mark.thorough
@pytest.mark.parametrize("flow", [CostFlow.AVERAGE, CostFlow.FIFO])
def test_thirty_draws_take_as_many_queries_as_one(flow: CostFlow) -> None:
    workshop.set_up(cost_flow=flow)
    shelf = [factories.material(f"M{number}", on_hand=1, value=1) for number in range(30)]
    counts = []
    for some in (shelf[:1], shelf):
        with CaptureQueriesContext(connection) as seen:
            leaving.worth([(material, Decimal(1)) for material in some], ON)
        counts.append(len(seen))
    assert counts[0] == counts[1]
