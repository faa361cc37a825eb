"""A newcomer's first hour on a phone: from an empty workshop, by nothing but the links of the list, to a first price."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.browser.conftest import PHONE, opened, playwright
from tests.browser.walking import PROBE

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]
see = playwright.expect

# Links and buttons pressed from the empty workshop to the price, typing and choosing apart; a change that asks more is seen.
TAPS = 25


class Hand:
    """One thumb: each press of a link or button counts, and every page it lands on is looked at."""

    def __init__(self, page: playwright.Page) -> None:
        self.page, self.taps, self.wrong = page, 0, dict[str, list[str]]()

    def tap(self, words: str | re.Pattern[str], *, role: str = "link") -> None:
        target = self.page.get_by_role(role, name=words, exact=isinstance(words, str))
        see(target.first).to_be_visible()
        with self.page.expect_navigation():
            target.first.tap()
        self.taps += 1
        if faults := self.page.evaluate(PROBE):
            self.wrong[self.page.url] = faults

    def save(self, words: str = "Save") -> None:
        self.tap(words, role="button")

    def fill(self, **given: str) -> None:
        for name, value in given.items():
            self.page.locator(f'[name="{name}"]').first.fill(value)


def test_the_list_leads_from_an_empty_workshop_to_a_first_price(tmp_path: Path) -> None:
    with opened(tmp_path / "data", "--empty") as workshop:
        page = workshop.page(**PHONE)
        page.goto("/")
        hand = Hand(page)
        title = page.get_by_role("heading", level=1)
        see(title).to_have_text("Welcome")
        hand.tap("Choose your own sign-in name.")
        hand.fill(name="jane")
        hand.save()
        hand.tap("Name it")
        hand.fill(name="Creek Hides", maker="J. Doe")
        page.locator('[name="currency"]').select_option("USD")
        hand.save()
        hand.tap("Add a material")
        hand.fill(code="SALT", name="Pickling salt")
        page.locator('[name="unit"]').select_option("lb")
        page.locator('[name="substance"]').select_option("salt")
        hand.save("Add material")
        hand.tap("Add skins")
        hand.fill(tag="D1", species="Deer", price="15")
        hand.save("Add")
        recipe(hand)
        hand.tap("Plan a batch")
        see(page.locator('[name="skins"]').first).to_be_checked()
        hand.fill(litres="20")
        hand.save("Plan it")
        see(page.locator(".first-steps .mark.ok")).to_have_count(5)
        hand.tap("Finish a piece")
        page.locator('[name="rows-0-kind"]').fill("Rug")
        hand.save("Finish")
        hand.tap("See its least price")
        hand.tap("Set a list price")
        hand.fill(list_price="120")
        hand.save()
        see(page.get_by_text("The list price is set.")).to_be_visible()
        page.goto("/")
        see(page.locator(".first-steps")).to_have_count(0)
        assert hand.wrong == {}
        assert hand.taps <= TAPS
        assert workshop.told == []


def recipe(hand: Hand) -> None:
    """From the outline of an alum bath: what the shelf lacks is added on the way, the amounts are the maker's own."""
    page = hand.page
    hand.tap("Choose an outline")
    hand.tap(re.compile("^Start from this ?: Alum bath, hair on"))
    see(page.get_by_role("link", name="Add Fine salt")).to_have_count(0)
    for name in ("Potash alum", "Washing soda crystals"):
        hand.tap(f"Add {name}")
        hand.save("Add material")
    own = {"Fine salt": "40", "Potash alum": "80", "Washing soda crystals": "20"}
    for wanted in page.locator('[name$="-wanted"]').all():
        prefix = re.sub(r"-wanted$", "", wanted.get_attribute("name") or "")
        if amount := own.get(wanted.input_value()):
            page.locator(f'[name="{prefix}-amount"]').fill(amount)
            if page.locator(f'[name="{prefix}-basis"]').input_value() == "per_litre":
                page.locator(f'[name="{prefix}-unit"]').select_option("g")
    hand.save("Save recipe")
    see(page.get_by_text("Left out: Baking soda, Neat's-foot oil.")).to_be_visible()
