"""The door in a browser: a link's button without scripts, and what is left to see after signing out (nothing)."""

from __future__ import annotations

import re

import pytest

from tests.browser.conftest import PHONE, Workshop, playwright
from tests.browser.test_browser import listed
from tests.browser.walking import STILL, looked_at

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


def link(fresh: Workshop) -> str:
    """A new link for the owner, made on the owner's own page."""
    page = fresh.page()
    page.goto("/setup/")
    page.get_by_role("link", name="One-time link for owner").click()
    page.get_by_role("button", name="Make the link").click()
    return page.get_by_label("The link").input_value()


def come_in(fresh: Workshop, **options: object) -> playwright.Page:
    context = fresh.browser.new_context(base_url=fresh.home, **PHONE, **options)
    page = context.new_page()
    page.goto(link(fresh))
    page.get_by_role("button", name="Sign in as owner").tap()
    page.wait_for_url("**/")
    return page


def test_without_scripts_the_link_s_button_signs_in(fresh: Workshop) -> None:
    page = come_in(fresh, java_script_enabled=False)
    playwright.expect(page.get_by_label("Menu of owner")).to_be_visible()
    assert fresh.told == []


def test_the_link_s_page_serves_thumb_keyboard_and_reader(fresh: Workshop) -> None:
    page = fresh.browser.new_context(base_url=fresh.home, **STILL).new_page()
    page.goto(link(fresh))
    wrong = {"a link": looked_at(page)}
    page.goto("/sign-in/link/?key=used")
    wrong["a used link"] = looked_at(page)
    assert not any(wrong.values()), listed(wrong)


def test_after_signing_out_back_and_other_tabs_show_the_sign_in_page_only(fresh: Workshop) -> None:
    page = come_in(fresh)
    page.goto("/books/")
    other = page.context.new_page()
    other.goto("/shelf/")
    playwright.expect(other.get_by_role("heading", level=1)).to_have_text("On the shelf")
    page.get_by_label("Menu of owner").tap()
    page.get_by_role("button", name="Sign out").tap()
    page.wait_for_url("**/sign-in/")
    playwright.expect(other).to_have_url(re.compile(r"/sign-in/\?next=/shelf/$"))
    for _ in range(2):
        page.go_back()
        playwright.expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")
        assert "Potash" not in page.content()
