"""A thumb that counts its taps; what it types is not counted."""

from __future__ import annotations

import re
from dataclasses import dataclass

from tests.browser.conftest import playwright


@dataclass
class Hand:
    page: playwright.Page
    taps: int = 0

    def link(self, words: str | re.Pattern[str]) -> None:
        self.tap(self.page.get_by_role("link", name=words))

    def button(self, words: str | re.Pattern[str]) -> None:
        self.tap(self.page.get_by_role("button", name=words))

    def tap(self, thing: playwright.Locator) -> None:
        thing.first.tap()
        self.taps += 1

    def told(self, words: str) -> None:
        playwright.expect(self.page.locator(".told .done").last).to_contain_text(words)
