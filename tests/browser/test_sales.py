"""Selling on a phone: what an hour earns follows the price as it is typed, and a fair's sale takes three touches."""

from __future__ import annotations

import pytest

from tests.browser.conftest import PHONE, Workshop
from tests.browser.test_browser import choose, send
from tests.browser.walking import PROBE

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


def follow(page: playwright.Page, link: str, title: str) -> None:
    """Tap a link and stand on the page that it leads to, with nothing wrong on it."""
    page.get_by_role("link", name=link).tap()
    playwright.expect(page.get_by_role("heading", level=1)).to_contain_text(title)
    page.wait_for_load_state()
    assert page.evaluate(PROBE) == []
    # The probe unfolds what is folded; the maker meets it folded.
    page.evaluate("document.querySelectorAll('main details').forEach((fold) => { fold.open = false; })")


def test_a_piece_is_sold_and_credited_on_a_phone(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    page.goto("/articles/H12/")
    follow(page, "Sell it", "Sell")
    earned = page.locator("[aria-live]").first
    before = earned.inner_text()
    page.get_by_label("Sale price in €").fill("30")
    playwright.expect(earned).to_contain_text("At 30.00 €")
    assert earned.inner_text() != before
    assert page.get_by_text("Covers everything").is_hidden()
    page.get_by_text("Least prices for").tap()
    playwright.expect(page.get_by_text("Covers everything")).to_be_visible()
    assert page.evaluate(PROBE) == []
    choose(page, "#id_how", "Cash")
    choose(page, "#id_channel", "Fair, cash")
    playwright.expect(earned).to_contain_text("At 30.00 €")
    send(page, "Record sale", "30.00 €")
    playwright.expect(page.locator("main")).to_contain_text("paid")
    assert page.evaluate(PROBE) == []
    follow(page, "Credit it", "Credit S-")
    page.get_by_label("Reason").fill("brought back")
    page.get_by_label("Cash").check()
    send(page, "Credit it", "30.00 €")
    assert fresh.told == []


def test_a_fair_from_plan_to_result_on_a_phone(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    page.goto("/fairs/new/")
    page.get_by_label("Name").fill("New Year market")
    choose(page, "#id_place", "Fair box")
    send(page, "Plan it", "New Year market is planned.")
    follow(page, "Pack for it", "Pack for New Year market")
    page.get_by_label("H08-3").check()
    page.get_by_label("H12").check()
    send(page, "Pack them", "Packed for New Year market.")
    follow(page, "Sell here", "Sell at New Year market")
    # Three touches: the piece, the price as it stands, sold.
    follow(page, "H08-3", "H08-3: pouch")
    assert page.get_by_label("Price").input_value() == "38"
    send(page, "Sold for cash", "H08-3 is sold for 38.00 €")
    follow(page, "Back to the fair", "New Year market")
    follow(page, "Close fair", "Close New Year market")
    page.get_by_label("H12").check()
    page.get_by_label("Hours at the stall").fill("5")
    send(page, "Close fair", "New Year market is closed.")
    playwright.expect(page.locator("main")).to_contain_text("Profit per hour at the stall")
    assert page.evaluate(PROBE) == []
    assert fresh.told == []
