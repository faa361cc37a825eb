"""What waiting a week costs, in words."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from inventory.foresight.demand import Habit, Usual
from inventory.foresight.rules import Forecast, forecast
from inventory.foresight.shelf.telling import waiting
from inventory.foresight.supply import Lead, Need, Parcel, Supply

TODAY = date(2025, 12, 31)
NONE = Usual(Habit(), Habit())


def ahead(on_hand: int, *days: int, **supply: Any) -> Forecast:
    needs = tuple(Need(TODAY + timedelta(days=day), Decimal(1920), f"B{5 + number}") for number, day in enumerate(days))
    return forecast(Supply((Parcel(Decimal(on_hand)),), lead=Lead((9,)), **supply), needs, NONE, TODAY)


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (
            12,
            "Waiting a week raises the chance of running short from 0 % to 100 %. "
            "B5 would be the first to wait for it, about 4 days.",
        ),
        (
            8,
            "Waiting a week leaves the chance of running short at 100 %. "
            "B5 waits about 1 day for it if it is ordered today, 8 days then.",
        ),
        (
            20,
            "Waiting a week leaves the chance of running short at 0 %. "
            "B5, the first that needs it, would still have it on 20 Jan 2026.",
        ),
    ],
)
def test_the_batch_that_fails_first_is_named_with_its_days(day: int, said: str) -> None:
    assert waiting(ahead(560, day)) == said


def test_where_nothing_lacks_no_batch_is_named() -> None:
    assert waiting(ahead(9000, 12, 30)) == "Waiting a week leaves the chance of running short at 0 %."


def test_of_what_nobody_uses_nothing_is_said() -> None:
    assert waiting(ahead(560)) == ""
