"""How a year stands to today and to what is entered."""

from __future__ import annotations

from datetime import date

import pytest

from costing.report.year import selectors as years
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("today", "number", "running", "ahead"),
    [
        (date(2025, 12, 30), 2025, True, False),
        (date(2025, 12, 31), 2025, False, False),
        (date(2026, 1, 1), 2025, False, False),
        (date(2025, 1, 1), 2025, True, False),
        (date(2024, 12, 31), 2025, False, True),
    ],
)
def test_a_year_runs_from_its_first_day_to_the_eve_of_its_last(
    today: date, number: int, running: bool, ahead: bool
) -> None:
    workshop.pin_today(on=today)
    found = years.state(number)
    assert (found.running, found.ahead) == (running, ahead)


def test_the_last_day_leads_to_no_next_year_unless_something_is_written_ahead() -> None:
    workshop.pin_today(on=date(2025, 12, 31))
    factories.skin(date_in=date(2024, 3, 1))
    assert (years.state(2025).before, years.state(2025).after) == (2024, None)
    factories.skin("H02", date_in=date(2026, 1, 2))
    assert years.state(2025).after == 2026
    assert years.state(2026).after is None


def test_far_years_lead_to_the_nearest_that_has_anything() -> None:
    workshop.pin_today(on=date(2025, 6, 1))
    factories.skin(date_in=date(2024, 3, 1))
    assert (years.state(1999).before, years.state(1999).after) == (None, 2024)
    assert (years.state(9999).before, years.state(9999).after) == (2025, None)
    assert (years.state(2024).before, years.state(2024).after) == (None, 2025)


def test_an_empty_workshop_knows_this_year_only() -> None:
    workshop.pin_today(on=date(2025, 6, 1))
    found = years.state(2025)
    assert (found.written, found.stocked, found.before, found.after) == (False, False, None, None)


def test_a_year_is_written_when_anything_is_entered_in_it() -> None:
    factories.material(on_hand=1, value=2, on=date(2024, 12, 31))
    factories.skin(date_in=date(2026, 1, 1))
    assert [years.state(number).written for number in (2023, 2024, 2025, 2026, 2027)] == [
        False, True, False, True, False,
    ]  # fmt: skip
    assert [years.state(number).stocked for number in (2023, 2024, 2025)] == [False, True, True]


@pytest.mark.parametrize("number", [-1, 0, 1, 10_000])
def test_a_year_without_an_eve_or_off_the_calendar_is_refused(number: int) -> None:
    with pytest.raises(Refused, match="is not a year"):
        years.checked(number)


def test_the_ends_of_the_calendar_can_be_told_of() -> None:
    assert [years.checked(number) for number in (2, 9999)] == [2, 9999]
