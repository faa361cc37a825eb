"""The form of a recipe shows the words that stand in it: no box cuts them off on a wide page."""

from __future__ import annotations

import pytest

from tests.browser.conftest import DESK, Workshop

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]

CUT_OFF = """() => [...document.querySelectorAll('main input:not([type=hidden]), main select, main textarea')]
    .filter(box => box.scrollWidth > box.clientWidth + 1 || box.scrollHeight > box.clientHeight + 2)
    .map(box => `${box.name}: ${box.value}`)"""


@pytest.mark.parametrize("recipe", ["R1", "R3"])
def test_no_box_of_a_recipe_cuts_its_words_off(fresh: Workshop, recipe: str) -> None:
    page = fresh.page(**DESK)
    page.goto(f"/recipes/{recipe}/new/")
    assert page.locator('textarea[name="steps-0-caution"]').input_value() != ""
    assert page.evaluate(CUT_OFF) == []
