"""Which copies are kept by their age, and when the maker is told of a missing one."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, strategies as st

from workshop.transfer.copies import rules

NOON = datetime(2026, 3, 31, 12, tzinfo=UTC)
DAY = timedelta(days=1)


def ago(*days: int) -> list[datetime]:
    return [NOON - back * DAY for back in days]


def test_a_year_and_more_of_daily_copies_leaves_days_weeks_and_months() -> None:
    left = set(ago(*range(500)))
    for back in range(500, -1, -1):  # as they are made and forgotten, day by day
        left = rules.kept({each for each in left if each >= NOON - 500 * DAY} | set(ago(back)))
    days = sorted((NOON - each).days for each in left)
    assert days[:7] == list(range(7))
    assert len({(each.year, each.month) for each in left}) == 12
    assert len({each.isocalendar()[:2] for each in left if each > NOON - 28 * DAY}) >= 4
    assert len(left) <= 7 + 4 + 12


def test_of_a_day_the_newest_is_kept() -> None:
    assert rules.kept([NOON, NOON - timedelta(hours=2)]) == {NOON}


def test_a_long_pause_forgets_nothing() -> None:
    assert rules.kept(ago(400, 401)) == set(ago(400, 401))


@given(st.sets(st.integers(0, 2000), min_size=1))
def test_the_newest_is_always_kept_and_keeping_again_changes_nothing(days: set[int]) -> None:
    left = rules.kept(ago(*days))
    assert max(ago(*days)) in left
    assert rules.kept(left) == left
    assert len(left) <= rules.DAYS + rules.WEEKS + rules.MONTHS


@pytest.mark.parametrize("name", ["tawery-2026-13-01-000000.zip", "../tawery-2026-01-01-000000.zip", "tawery.zip", ""])
def test_a_name_that_is_no_copy_s_is_none(name: str) -> None:
    assert rules.made_at(name) is None


def test_a_name_tells_its_moment() -> None:
    assert rules.made_at(rules.name(NOON)) == NOON


@pytest.mark.parametrize(
    ("begun", "last", "away", "says"),
    [
        (None, None, None, "No copy of this workshop is kept yet."),
        (0, 0, None, ""),
        (7, 0, None, ""),
        (8, 0, None, "Every copy lies on the same disk as the workshop."),
        (None, 0, None, "Every copy lies on the same disk as the workshop."),
        (30, 7, 0, ""),
        (30, 8, 0, "The last good copy is 8 days old."),
        (30, 0, 7, ""),
        (30, 0, 9, "The last copy on another disk is 9 days old."),
    ],
)
def test_what_is_said_of_copies(begun: int | None, last: int | None, away: int | None, says: str) -> None:
    moments = [None if back is None else NOON - back * DAY for back in (begun, last, away)]
    assert rules.nag(rules.Known(*moments), NOON) == says
