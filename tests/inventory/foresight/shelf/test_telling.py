"""What waiting a week costs, in words."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from inventory.foresight import words
from inventory.foresight.demand import Event, Habit, Usual, habit
from inventory.foresight.rules import Forecast, forecast
from inventory.foresight.selectors import Outlook
from inventory.foresight.shelf.telling import waiting
from inventory.foresight.supply import Lead, Need, Parcel, Supply
from inventory.models import Material

TODAY = date(2025, 12, 31)
NONE = Usual(Habit(), Habit())
EGGS = Usual(
    habit([Event(date(2025, month, 1), Decimal(8), True) for month in (3, 6, 9)], date(2025, 1, 1), TODAY),
    Habit(),
    usual_batch=Decimal(8),
)


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


@pytest.mark.parametrize(
    ("day", "use", "said"),
    [
        (
            -1,
            NONE,
            "12 pc left, 12 pc of it past the best-before day; nothing planned needs it, and it has no usual use.",
        ),
        (-1, EGGS, "12 pc left, 12 pc of it past the best-before day; the reorder point is 8 pc: one usual batch."),
        (0, NONE, "12 pc left; nothing planned needs it, and it has no usual use."),
    ],
)
def test_what_is_past_its_day_is_told_where_it_is_counted(day: int, use: Usual, said: str) -> None:
    eggs = Supply((Parcel(Decimal(12), TODAY + timedelta(days=day)),), lead=Lead((0,)))
    seen = Outlook(Material(unit="piece"), forecast(eggs, (), use, TODAY), Decimal(12))
    assert words.reason(seen) == said
