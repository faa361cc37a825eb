"""Pages that show a key once: their own forms still work, for they are no stranger's."""

from __future__ import annotations

import pytest

from tests.browser.conftest import DESK, Workshop

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


def light(page: playwright.Page, word: str) -> None:
    page.get_by_label("Menu of").click()
    page.get_by_role("button", name=word, exact=True).click()
    page.get_by_label("Menu of").click()


def test_from_a_page_that_shows_a_link_the_light_can_be_changed_and_one_can_sign_out(fresh: Workshop) -> None:
    page = fresh.page(**DESK)
    page.goto("/setup/calendar/")
    page.get_by_label("Where it will be read").fill("Kitchen tablet")
    page.get_by_role("button", name="Make a link").click()
    playwright.expect(page.get_by_label("The link").first).to_be_visible()
    light(page, "Dark")
    playwright.expect(page.get_by_role("button", name="Dark", exact=True, pressed=True)).to_be_visible()
    page.goto("/setup/")
    page.get_by_role("link", name="One-time link for owner").click()
    page.get_by_role("button", name="Make the link").click()
    light(page, "Light")
    playwright.expect(page.get_by_role("button", name="Light", exact=True, pressed=True)).to_be_visible()
    assert fresh.told == []
