"""The commonest actions of the shed, from Today on a phone, with the taps that each takes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.conftest import PHONE, opened, playwright
from tests.browser.hand import Hand
from tests.browser.test_three_weeks import add, desk, done, on

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


@pytest.fixture
def hand(tmp_path: Path) -> Iterator[Hand]:
    """A thumb on Today of an own workshop, three days into a batch."""
    with opened(tmp_path / "data", "--empty") as workshop:
        page = workshop.page(**PHONE)
        page.goto("/")
        desk(page)
        page.goto("/")
        put_in(page, "Alum")
        put_in(page, "Salt")
        on(page, 3)
        yield Hand(page)


def test_soda_is_added_with_one_tap(hand: Hand) -> None:
    hand.button(re.compile("Added.* Washing soda, B1"))
    hand.told("Washing soda, B1: added.")
    assert hand.taps == 1


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


def put_in(page: playwright.Page, material: str) -> None:
    add(page, material)
    done(page, f"{material}, B1: added.")


def out_of_the_bath(page: playwright.Page) -> None:
    """To the day on which the skins are softened, with what went in before."""
    put_in(page, "Washing soda")
    on(page, 12)
    page.get_by_role("button", name="Take out: done").tap()
    done(page, "Take out, B1: logged")
    put_in(page, "Oil")
    page.get_by_role("button", name="Oil: done").tap()
    done(page, "Oil, B1: logged")
    on(page, 13)


def test_what_is_repeated_is_logged_with_one_tap(hand: Hand) -> None:
    out_of_the_bath(hand.page)
    hand.button("Soften while damp: done")
    hand.told("Soften while damp")
    assert hand.taps == 1


def test_a_timer_starts_with_two_taps_and_stops_with_one(hand: Hand) -> None:
    out_of_the_bath(hand.page)
    hand.tap(hand.page.locator(".task", has_text="Soften").get_by_role("link", name="Start timer"))
    hand.tap(hand.page.get_by_role("button", name="Start timer", exact=True))
    hand.told("The timer runs")
    assert hand.taps == 2
    hand.page.goto("/")
    hand.button("Stop")
    hand.told("Soften while damp: done.")
    assert hand.taps == 3
