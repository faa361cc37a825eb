"""An order on a phone: written down, its goods taken in part and whole, the rest closed; every page of it for thumb and reader."""

from __future__ import annotations

import pytest

from tests.browser.conftest import PHONE, Workshop
from tests.browser.test_browser import listed
from tests.browser.walking import STILL, looked_at

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


def test_an_order_goes_from_the_shopping_list_to_the_shelf_on_a_phone(fresh: Workshop) -> None:
    page = fresh.page(**PHONE, java_script_enabled=False)
    page.goto("/orders/new/?material=ALUMK&packs=3&supplier=Utuharju+Chemicals&material=SALT&packs=1")
    page.get_by_label("Due on").fill("2026-01-09")
    page.get_by_label("Expected price a pack").nth(0).fill("11.60")
    page.get_by_role("button", name="I ordered it").click()
    playwright.expect(page.get_by_role("heading", level=1)).to_have_text("Order O1")
    looking = fresh.page(**STILL)
    paths = [f"/orders/{path}" for path in ("", "new/", "O1/", "O1/edit/", "O1/goods-in/", "O1/close/")]
    wrong: dict[str, list[str]] = {}
    for path in paths:
        looking.goto(path)
        if faults := looked_at(looking):
            wrong[path] = faults
    page.get_by_role("link", name="Goods in").click()
    page.get_by_label("Packs").nth(0).fill("1")
    page.get_by_label("Price a pack").nth(1).fill("11.50")
    page.get_by_role("button", name="It came").click()
    page.get_by_role("link", name="O1").click()
    playwright.expect(page.get_by_text("part delivered")).to_be_visible()
    page.locator("summary", has_text="More").click()
    page.get_by_role("link", name="The rest will not come").click()
    page.get_by_label("Reason").fill("sold out")
    page.get_by_role("button", name="Close order").click()
    playwright.expect(page.get_by_text("sold out")).to_be_visible()
    for path in ("/orders/O1/", "/orders/O1/reopen/", "/suppliers/1/"):
        looking.goto(path)
        if faults := looked_at(looking):
            wrong[f"{path} closed"] = faults
    assert not wrong, listed(wrong)
    assert fresh.told == []
