"""How long a material lasts, on a phone and on a desk: one drawing is there, its words are large enough, and axe finds nothing."""

from __future__ import annotations

import pytest

from tests.browser import axe
from tests.browser.conftest import DESK, PHONE, Workshop
from tests.browser.test_phone import CLIPPED

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]
MATERIALS = ("ALUMK", "CORD")
LEAST = 11

# The drawings that are seen, and the type of each word in them as it is on the screen.
DRAWN = """() => [...document.querySelectorAll(".ahead svg")].filter((one) => one.checkVisibility()).map((one) => {
  const scale = one.getBoundingClientRect().width / one.viewBox.baseVal.width;
  return [...one.querySelectorAll("text")].map((word) => word.getAttribute("font-size") * scale);
})"""


@pytest.mark.parametrize(
    "screen", [PHONE, DESK, {"viewport": {"width": 960, "height": 700}}], ids=["phone", "desk", "between"]
)
def test_one_drawing_is_there_and_its_words_can_be_read(fresh: Workshop, screen: dict[str, object]) -> None:
    page = fresh.page(**screen)
    for code in MATERIALS:
        page.goto(f"/shelf/{code}/")
        page.get_by_text("The figures behind it").click()
        (words,) = page.evaluate(DRAWN)
        assert min(words) >= LEAST
        assert page.get_by_role("img", name="on the shelf until").count() == 1
        assert page.evaluate(CLIPPED) == []
        assert axe.faults(page) == []
    assert fresh.told == []
