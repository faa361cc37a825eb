from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.batches.issues import selectors as usage, services as batches
from inventory.ledger.usage import selectors as ground
from inventory.models import Kind
from tests.factories import batch, material, put, skin, take

pytestmark = pytest.mark.django_db
D = Decimal
JAN, FEB = date(2025, 1, 10), date(2025, 2, 10)
MONTH = ground.month_of(JAN)


def rows(month: int) -> list[tuple[Any, ...]]:
    return [(str(each["batch"]), each["material"], each["quantity"], each["value"]) for each in usage.by_batch(month)]


def test_use_stands_by_batch_and_what_went_straight_on_skins_apart() -> None:
    salt, tags = material("SALT", on_hand=10, value=10, on=JAN), material("TAG", "piece", on_hand=30, value=3, on=JAN)
    skin("H01", date_in=JAN)
    first, second = batch("B1", start=JAN), batch("B2", start=JAN)
    put(first, salt, 1, JAN)
    put(first, salt, 2, JAN)
    put(first, tags, 3, JAN)
    put(second, salt, 1, FEB)
    put(None, salt, "0.5", JAN, tags=["H01"])
    take(salt, 1, JAN, Kind.SPOILED)
    assert rows(MONTH) == [
        ("B1", "Material SALT", D(3000), D(3)),
        ("B1", "Material TAG", D(3), D("0.30")),
        ("raw skins", "Material SALT", D(500), D("0.50")),
    ]
    assert rows(MONTH + 1) == [("B2", "Material SALT", D(1000), D(1))]


def test_what_was_taken_back_cancels_or_lowers_the_later_month() -> None:
    salt = material("SALT", on_hand=10, value=10, on=JAN)
    bath = batch("B1", start=JAN)
    batches.reverse(use=put(bath, salt, 1, JAN), reason="x")
    assert rows(MONTH) == []
    batches.reverse(use=put(bath, salt, 2, JAN), reason="x", on=FEB)
    assert rows(MONTH) == [("B1", "Material SALT", D(2000), D(2))]
    assert rows(MONTH + 1) == [("B1", "Material SALT", D(-2000), D(-2))]


def test_batches_add_up_to_what_the_month_used() -> None:
    salt = material("SALT", on_hand=10, value="9.99", on=JAN)
    for number in ("B1", "B2", "B3"):
        put(batch(number, start=JAN), salt, "0.777", JAN)
    (flow,) = ground.flows(MONTH)
    assert sum(value for *_, value in rows(MONTH)) == flow.used.value
    assert sum(quantity for *_, quantity, _ in rows(MONTH)) == flow.used.quantity


@pytest.mark.thorough
@pytest.mark.slow
def test_the_month_takes_as_many_queries_for_thirty_batches_as_for_one() -> None:
    salt = material("SALT", on_hand=100, value=100, on=JAN)
    put(batch("B0", start=JAN), salt, 1, JAN)
    with CaptureQueriesContext(connection) as one:
        usage.by_batch(MONTH)
    for number in range(1, 31):
        put(batch(f"B{number}", start=JAN), salt, 1, JAN)
    with CaptureQueriesContext(connection) as many:
        assert len(usage.by_batch(MONTH)) == 31
    assert len(many) == len(one)
