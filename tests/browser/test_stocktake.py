"""The shelf is counted on a phone: typed blind, the differences seen with their value, a reason given, posted."""

from __future__ import annotations

import pytest

from tests.browser.conftest import PHONE, Workshop
from tests.browser.test_browser import send
from tests.browser.walking import PROBE, STILL, on_phone

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


def test_the_shelf_is_counted_on_a_phone(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    page.goto("/shelf/")
    page.get_by_role("link", name="Stocktake").tap()
    playwright.expect(page.get_by_label("Potash alum")).to_be_visible()
    assert page.evaluate(PROBE) == []
    page.get_by_label("Potash alum").fill("0,5")
    page.get_by_label("Eggs").fill("2")
    page.get_by_role("button", name="Show the differences").tap()
    shown = page.locator("main")
    playwright.expect(shown).to_contain_text("1 difference, 1 agrees with the books")
    playwright.expect(shown).to_contain_text("−0.06 kg, worth −0.39")
    assert page.evaluate(PROBE) == []
    page.get_by_role("button", name="Post the differences").tap()
    playwright.expect(page.get_by_role("alert").first).to_contain_text("The reason for Potash alum is missing")
    assert page.evaluate(PROBE) == []
    page.get_by_role("button", name="Change the counts").tap()
    playwright.expect(page.get_by_label("Potash alum")).to_have_value("0,5")
    page.get_by_role("button", name="Show the differences").tap()
    page.get_by_label("Why Potash alum differs").fill("spilled")
    send(page, "Post the differences", "The stocktake is posted: 1 difference, each with its reason.")
    assert fresh.told == []


def test_skins_and_pieces_are_counted_on_a_phone(fresh: Workshop) -> None:
    page = fresh.page(**STILL)
    page.goto("/shelf/count/")
    page.get_by_role("link", name="Skins and pieces").tap()
    page.locator("main a.card", has_text="Salt crate").tap()
    page.get_by_label("H13").tap()
    assert on_phone(page) == []
    page.get_by_label("Found without a line").fill("h12")
    page.get_by_role("button", name="Show the differences").tap()
    shown = page.locator("main")
    playwright.expect(shown).to_contain_text(
        "1 agrees with the books, 1 missing, 1 found that the books have elsewhere"
    )
    assert on_phone(page) == []
    page.get_by_role("button", name="Write what was decided").tap()
    playwright.expect(page.get_by_role("alert").first).to_contain_text("Say what is to be done about H14")
    assert on_phone(page) == []
    page.get_by_role("radio", name="It is lost").check()
    page.get_by_label("How H14 went").fill("eaten by mice")
    send(page, "Write what was decided", "Counted, Salt crate: moved here: H12; lost: H14.")
    assert on_phone(page) == []
    assert fresh.told == []
