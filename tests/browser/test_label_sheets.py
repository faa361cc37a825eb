"""A sheet of labels on a phone without scripts: made one's own, drawn, calibrated; every page of it for thumb and reader."""

from __future__ import annotations

import pytest

from tests.browser.conftest import PHONE, Workshop
from tests.browser.test_browser import listed
from tests.browser.walking import STILL, looked_at

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


def test_a_sheet_is_made_ones_own_and_calibrated_on_a_phone(fresh: Workshop) -> None:
    page = fresh.page(**PHONE, java_script_enabled=False)
    page.goto("/setup/label-sheets/")
    page.get_by_role("link", name="2 × 7 on A4, with margins").click()
    page.get_by_label("From the left").fill("5")
    page.get_by_role("button", name="Draw it").click()
    drawn = page.get_by_role("img", name="The sheet of labels")
    playwright.expect(drawn).to_be_in_viewport()
    playwright.expect(drawn).to_contain_text("edge 5 mm")
    page.get_by_role("button", name="Add sheet").click()
    page.get_by_role("link", name="Calibrate").click()
    page.get_by_label("Too far right").fill("1.5")
    page.get_by_role("button", name="Keep the offset").click()
    playwright.expect(page.get_by_text("Kept: 1.5 mm further left")).to_be_visible()
    looking = fresh.page(**STILL)
    wrong: dict[str, list[str]] = {}
    for path in ("", "new/", "new/?from=3 × 7 on A4", "1/", "1/calibration/", "1/delete/"):
        looking.goto(f"/setup/label-sheets/{path}")
        if faults := looked_at(looking):
            wrong[path] = faults
    assert not wrong, listed(wrong)
    assert fresh.told == []
