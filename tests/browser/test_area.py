"""A hide is measured from its photo on a phone: by touch, by keyboard alone, and without JavaScript by typing the points."""

from __future__ import annotations

import re
from collections.abc import Iterable

import numpy as np
import pytest

from tests.browser.conftest import PHONE, Workshop
from tests.browser.test_shed import post
from tests.browser.walking import STILL, looked_at
from tests.costing.make.readings.areas import photos

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow]
WIDE, HIGH = 1500, 1200
CORNERS = np.array([(0, 0), (WIDE, 0), (WIDE, HIGH), (0, HIGH)], dtype=float)


def see(thing: playwright.Locator) -> playwright.LocatorAssertions:
    return playwright.expect(thing)


def begun(page: playwright.Page, tag: str, photo: bytes) -> None:
    """A skin of that tag, and its photo kept and open to tap on."""
    post(
        page, "/skins/new/", tag=tag, species="sheep", green_weight="3", owner="mine", date_in="2025-03-04", price="12"
    )
    page.goto(f"/skins/{tag}/")
    page.get_by_role("link", name="Measure it").click()
    page.get_by_label("Photo").set_input_files({"name": "hide.jpg", "mimeType": "image/jpeg", "buffer": photo})
    page.get_by_role("button", name="Go on to tap").click()
    see(page.locator("h1")).to_have_text(f"Tap the outline of {tag}")


def saved(page: playwright.Page, tag: str) -> float:
    """The area in dm² that the skin's page tells after it was saved."""
    page.get_by_role("button", name="Save", exact=True).click()
    see(page.locator(".told .done").last).to_contain_text(f"The area of {tag} is saved.")
    found = re.search(r"([\d.]+)\sdm²", page.get_by_role("link", name=" ± ").inner_text())
    assert found
    return float(found[1])


def frame(page: playwright.Page, width: str, height: str) -> None:
    page.get_by_label("Inside width").fill(width)
    page.get_by_label("Inside height").fill(height)


class Finger:
    """Taps on the stage at pixels of the kept photo."""

    def __init__(self, page: playwright.Page) -> None:
        self.page = page
        page.locator("[data-stage]").evaluate("stage => stage.scrollIntoView({block: 'center'})")

    def where(self, x: float, y: float) -> tuple[float, float]:
        at = "([x, y]) => { const at = new DOMPoint(x, y).matrixTransform(document.querySelector('.area-photo').getScreenCTM()); "
        seen = self.page.evaluate(at + "return [at.x, at.y]; }", [float(x), float(y)])
        return seen[0], seen[1]

    def tap(self, points: Iterable[tuple[float, float]]) -> None:
        for x, y in points:
            self.page.touchscreen.tap(*self.where(x, y))


def count(page: playwright.Page, name: str) -> int:
    return len(page.locator(f"#id_{name}").input_value().split())


def test_an_area_tapped_with_a_finger_is_that_of_the_hide(fresh: Workshop) -> None:
    lot = np.random.default_rng(7)
    scene = photos.Scene(WIDE, HIGH, photos.hide(lot, WIDE, HIGH, points=24))
    view = photos.camera(lot, scene, (2000, 1500), tilt=30)
    page = fresh.page(**STILL)
    begun(page, "H61", photos.photo(lot, scene, view))
    faults = looked_at(page)
    # The kept photo is smaller than the one that was sent.
    by = page.evaluate("document.querySelector('.area-photo').viewBox.baseVal.width") / 2000
    assert by == 0.8
    finger = Finger(page)
    finger.tap(view.sees(CORNERS) * by)
    see(page.locator("[data-told]")).to_contain_text("along the edge of the hide")
    finger.tap(view.sees(scene.outline) * by)
    assert (count(page, "corners"), count(page, "outline")) == (4, 24)
    frame(page, "150", "120")
    page.get_by_role("button", name="Measure").tap()
    see(page.locator("#figures")).to_contain_text("Measured, to be saved")
    faults += looked_at(page)
    page.get_by_role("button", name="Clear").tap()
    see(page.locator("#figures")).to_contain_text("measure again")
    see(page.get_by_role("button", name="Save this area")).to_be_disabled()
    page.get_by_role("button", name="Undo").tap()
    area = saved(page, "H61")
    x, y = scene.outline.T
    true = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2 / 10_000
    assert abs(area / true - 1) < 0.015
    faults += looked_at(page)
    page.get_by_role("link", name=" ± ").tap()
    see(page.locator(".area-photo polygon.outline")).to_have_count(1)
    faults += looked_at(page)
    assert faults == []
    assert fresh.told == []


@pytest.mark.thorough
def test_a_point_is_dragged_undone_and_looked_at_larger(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    begun(page, "H62", photos.straight())
    finger = Finger(page)
    finger.tap([(100, 100), (700, 100), (700, 500), (100, 500), (200, 200), (600, 200), (600, 400)])
    outline = page.locator("#id_outline")
    before = outline.input_value()
    page.mouse.move(*finger.where(600, 400))
    page.mouse.down()
    page.mouse.move(*finger.where(500, 380))
    see(page.locator("[data-loupe]")).to_be_visible()
    page.mouse.up()
    see(page.locator("[data-loupe]")).to_be_hidden()
    last = [float(part) for part in outline.input_value().split()[-1].split(",")]
    assert np.abs(np.array(last) - (500, 380)).max() < 1.5
    undo = page.get_by_role("button", name="Undo")
    undo.tap()
    assert outline.input_value() == before
    undo.tap()
    assert count(page, "outline") == 2
    page.get_by_role("button", name="Clear").tap()
    assert count(page, "outline") == 0
    undo.tap()
    assert count(page, "outline") == 2
    page.get_by_role("button", name="Zoom in").tap()
    assert page.evaluate("document.querySelector('.area-photo').viewBox.baseVal.width") == 500
    finger.tap([(400, 350)])
    x, y = (float(part) for part in outline.input_value().split()[-1].split(","))
    assert abs(x - 400) < 1
    assert abs(y - 350) < 1
    page.get_by_role("button", name="Hole", exact=True).tap()
    finger.tap([(350, 220), (420, 220), (420, 290)])
    assert page.locator("#id_defects").input_value().startswith("hole: 350,220 ")
    assert fresh.told == []


@pytest.mark.thorough
def test_two_fingers_zoom_and_set_no_point(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    begun(page, "H63", photos.straight())
    finger = Finger(page)
    hand = page.context.new_cdp_session(page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        at = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(points)]
        hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": at})

    one, other = finger.where(300, 300), finger.where(500, 300)
    touch("touchStart", one)
    touch("touchStart", one, other)
    for by in (10, 20, 40):
        touch("touchMove", (one[0] - by, one[1]), (other[0] + by, other[1]))
    touch("touchEnd", (one[0] - 40, one[1]))
    touch("touchEnd")
    assert page.evaluate("document.querySelector('.area-photo').viewBox.baseVal.width") < 600
    assert count(page, "corners") == 0
    assert fresh.told == []


@pytest.mark.thorough
def test_the_keyboard_alone_measures_a_hide(fresh: Workshop) -> None:
    page = fresh.page()
    begun(page, "H64", photos.straight())
    stage = page.get_by_role("application", name="Photo of H64")
    page.locator("main").focus()
    for _ in range(12):
        page.keyboard.press("Tab")
        if stage.evaluate("stage => stage === document.activeElement"):
            break
    see(stage).to_be_focused()
    at = [400, 300]

    def point(x: int, y: int) -> None:
        for axis, there, keys in ((0, x, ("ArrowLeft", "ArrowRight")), (1, y, ("ArrowUp", "ArrowDown"))):
            way = keys[there > at[axis]]
            tens, ones = divmod(abs(there - at[axis]), 10)
            for key, times in ((f"Shift+{way}", tens), (way, ones)):
                for _ in range(times):
                    page.keyboard.press(key)
            at[axis] = there
        page.keyboard.press("Enter")

    for corner in ((100, 100), (700, 100), (700, 500), (100, 500)):
        point(*corner)
    see(page.locator("[data-told]")).to_contain_text("Corner 4 is set. Tap along the edge")
    for tap in ((200, 200), (600, 200), (603, 401), (600, 400), (200, 400)):
        if tap == (600, 400):
            page.keyboard.press("Backspace")
            see(page.locator("[data-told]")).to_contain_text("Undone")
        point(*tap)
    assert page.locator("#id_outline").input_value() == "200,200 600,200 600,400 200,400"
    frame(page, "60", "40")
    assert abs(saved(page, "H64") - 8) < 0.05
    assert fresh.told == []


def test_without_javascript_the_points_are_typed(fresh: Workshop) -> None:
    page = fresh.page(**PHONE, java_script_enabled=False)
    begun(page, "H65", photos.straight())
    see(page.locator("[data-told]")).to_contain_text("Type the points below")
    page.get_by_label("Corners").fill("100,100 700,100 700,500 100,500")
    page.get_by_label("Outline").fill("200,200 600,200 600,400 200,400")
    frame(page, "4", "40")
    page.get_by_role("button", name="Save", exact=True).click()
    see(page.locator(".field.wrong")).to_contain_text("The width of the frame is 40 mm")
    frame(page, "60", "40")
    page.get_by_role("button", name="Measure").click()
    see(page.locator("#figures")).to_contain_text("8 dm²")
    see(page.locator(".area-photo polygon.outline")).to_have_count(1)
    assert abs(saved(page, "H65") - 8) < 0.05
