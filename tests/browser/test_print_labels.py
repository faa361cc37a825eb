"""Labels are printed from a phone without scripts: ticks, a place of the sheet by tap and by arrow key, the PDF at the end."""

from __future__ import annotations

import pytest

from tests.browser.conftest import PHONE, Workshop
from tests.browser.walking import STILL, looked_at

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


def test_two_pieces_go_on_a_part_used_sheet_without_scripts(fresh: Workshop) -> None:
    page = fresh.page(**PHONE, java_script_enabled=False)
    page.goto("/articles/")
    page.get_by_role("link", name="Print labels").click()
    page.get_by_label("H03").check()
    page.get_by_label("H12").check()
    page.get_by_label("Print on").select_option("3 × 7 on A4")
    page.get_by_role("button", name="Preview").click()
    assert page.url.endswith("#preview")
    page.locator(".places label", has_text="8").first.click()
    page.get_by_role("radio", name="Place 8", exact=True).press("ArrowRight")
    assert page.get_by_role("radio", name="Place 9", exact=True).is_checked()
    page.get_by_role("button", name="Preview").click()
    playwright.expect(page.locator("#preview").get_by_role("status")).to_have_text(
        "2 labels on 1 page, places 9 to 10."
    )
    with page.expect_request("**/print/care/labels.pdf*") as sent:
        page.get_by_role("button", name="Open PDF").click()
    assert "start=9" in sent.value.url
    assert fresh.told == []


@pytest.mark.parametrize(
    "path",
    [
        "/print/care/?name=H03&name=CUSH1&sheet=3x7&start=8&copies=7",
        "/print/jar/?name=NONE&sheet=3x7&start=0&copies=0",
        "/print/tag/?batch=B3&sheet=own",
    ],
)
def test_the_page_is_for_thumb_and_reader_chosen_refused_and_laid(fresh: Workshop, path: str) -> None:
    page = fresh.page(**STILL)
    page.goto(path)
    page.evaluate("document.querySelectorAll('main details:not(.more)').forEach((fold) => { fold.open = true; })")
    assert looked_at(page) == []
