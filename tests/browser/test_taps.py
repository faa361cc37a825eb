"""The commonest actions of the shed, from Today on a phone, with the taps that each takes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.conftest import PHONE, opened
from tests.browser.hand import Hand
from tests.browser.test_three_weeks import desk, on

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


@pytest.fixture
def hand(tmp_path: Path) -> Iterator[Hand]:
    """A thumb on Today of an own workshop, three days into a batch."""
    with opened(tmp_path / "data", "--empty") as workshop:
        page = workshop.page(**PHONE)
        page.goto("/")
        desk(page)
        on(page, 3)
        yield Hand(page)


def test_soda_is_added_with_one_tap(hand: Hand) -> None:
    hand.button(re.compile("Added.* Washing soda, B1"))
    hand.told("Washing soda, B1: added.")
    assert hand.taps == 1


def test_a_timer_starts_with_two_taps_and_stops_with_one(hand: Hand) -> None:
    hand.link("Start timer")
    hand.button("Start timer")
    hand.told("The timer runs")
    assert hand.taps == 2
    hand.page.goto("/")
    hand.button("Stop")
    hand.told("min")
    assert hand.taps == 3


def test_skins_are_weighed_with_two_taps(hand: Hand) -> None:
    hand.link(re.compile("Weigh"))
    hand.page.get_by_label(re.compile("D1")).first.fill("4.2")
    hand.page.get_by_label(re.compile("D2")).first.fill("3.9")
    hand.button(re.compile("Save"))
    hand.told("weigh")
    assert hand.taps == 2


def test_a_skin_is_taken_in_with_three_taps(hand: Hand) -> None:
    hand.link("Skins")
    hand.link("Add a skin")
    hand.page.get_by_label("Species").fill("Deer")
    hand.button("Add")
    hand.told("D3")
    assert hand.taps == 3


def test_what_is_repeated_is_logged_with_one_tap(hand: Hand) -> None:
    page = hand.page
    for step in ("Take out", "Oil"):
        on(page, 12)
        for added in page.get_by_role("button", name=re.compile("^Added")).all_inner_texts():
            page.get_by_role("button", name=re.compile("^Added")).first.tap()
            hand.told(f"{'added' if added else ''}")
        page.get_by_role("button", name=f"{step}: done").tap()
        hand.told(step)
    on(page, 13)
    hand.button("Soften while damp: done")
    hand.told("Soften while damp")
    assert hand.taps == 1
