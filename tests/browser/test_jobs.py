"""A job is taken on a phone at the door, with a price from the log, and its skin told ready and billed."""

from __future__ import annotations

import pytest

from tests.browser.conftest import PHONE, Workshop
from tests.browser.test_browser import send
from tests.browser.walking import PROBE, on_phone

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


def test_a_job_is_taken_at_the_door_with_a_price_from_the_log(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    page.goto("/jobs/new/")
    page.get_by_label("Customer").fill("Aino Vaaramaa")
    page.get_by_label("Species").fill("reindeer")
    page.get_by_label("Condition").fill("salted, one cut")
    page.get_by_role("button", name="Work out a price").tap()
    quote = page.locator("#quote")
    playwright.expect(quote).to_contain_text("reindeer, from your log")
    playwright.expect(quote).to_be_in_viewport()
    assert page.evaluate(PROBE) == []
    assert page.get_by_label("Customer").input_value() == "Aino Vaaramaa"
    page.get_by_role("link", name="To the price").tap()
    page.get_by_label("Work agreed", exact=True).fill("tawed, hair on")
    page.get_by_label("Price in €").fill("200")
    page.get_by_label("Received now in €").fill("80")
    send(page, "Take the job", "is taken for Aino Vaaramaa.")
    playwright.expect(page.locator("main")).to_contain_text("80.00 €")
    playwright.expect(page.locator("main")).to_contain_text("salted, one cut")
    assert page.evaluate(PROBE) == []
    assert fresh.told == []


def test_a_job_is_given_up_and_its_deposit_paid_back_on_a_phone(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    page.goto("/jobs/new/")
    page.get_by_label("Customer").fill("Aino Vaaramaa")
    page.get_by_label("Species").fill("reindeer")
    page.get_by_label("Work agreed", exact=True).fill("tawed, hair on")
    page.get_by_label("Price in €").fill("200")
    page.locator("details.more-fields > summary").tap()
    page.get_by_label("Received now in €").fill("80")
    send(page, "Take the job", "is taken for Aino Vaaramaa.")
    faults = on_phone(page)
    page.get_by_role("link", name="Pay back").tap()
    playwright.expect(page.locator("h1")).to_contain_text("Pay back on")
    faults += on_phone(page)
    page.get_by_label("Amount in €").fill("30")
    send(page, "Record refund", "30.00 € is paid back.")
    page.get_by_role("link", name="Cancel job").tap()
    playwright.expect(page.locator("h1")).to_contain_text("Cancel job")
    playwright.expect(page.locator("main")).to_contain_text("You hold 50.00 € of their money.")
    faults += on_phone(page)
    page.get_by_label("Reason").fill("moves away")
    page.get_by_label("Kept for the work so far in €").fill("20")
    send(page, "Cancel job", "is cancelled.")
    playwright.expect(page.locator("main")).to_contain_text("Kept and billed")
    faults += on_phone(page)
    assert faults == []
    assert fresh.told == []
