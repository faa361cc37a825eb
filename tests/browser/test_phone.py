"""One header on every page, the search one key away, filters that fold, and lists that fit a phone of 360 px."""

from __future__ import annotations

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from inventory.web.lists import ListPage
from tests.browser.conftest import DESK, PHONE, Workshop
from tests.browser.walking import STILL, looked_at, on_phone

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]
NARROW = {**PHONE, "viewport": {"width": 360, "height": 740}}

# What lies outside the page or its box, as a person at 360 px meets it: words that cannot be seen without pushing sideways.
CLIPPED = """() => {
  const faults = [];
  const page = document.documentElement;
  if (page.scrollWidth > page.clientWidth) faults.push(`the page is ${page.scrollWidth} px wide`);
  for (const box of document.querySelectorAll(".scroll"))
    if (box.scrollWidth > box.clientWidth)
      faults.push(`${box.getAttribute("aria-label")}: ${box.scrollWidth} px in ${box.clientWidth}`);
  for (const cell of document.querySelectorAll("main :is(th, td, a, p, button, h1, h2)")) {
    if (!cell.checkVisibility()) continue;
    const right = cell.getBoundingClientRect().right;
    if (right > page.clientWidth + 0.5) faults.push(`outside: ${cell.outerHTML.slice(0, 80)}`);
  }
  return faults;
}"""


def lists(resolver: URLResolver | None = None) -> list[str]:
    """The address of every page that is a list of the kit."""
    found: list[str] = []
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            found += lists(entry)
        elif isinstance(entry, URLPattern) and issubclass(getattr(entry.callback, "view_class", object), ListPage):
            found.append(f"/{entry.pattern}")
    return found


def see(thing: playwright.Locator) -> playwright.LocatorAssertions:
    return playwright.expect(thing)


def test_no_list_is_clipped_at_360_px(fresh: Workshop) -> None:
    page = fresh.page(**NARROW)
    wrong = {}
    paths = lists()
    assert len(paths) > 10
    for path in paths:
        page.goto(path)
        if faults := page.evaluate(CLIPPED):
            wrong[path] = faults
    assert wrong == {}


def test_the_look_at_what_is_clipped_sees_it(fresh: Workshop) -> None:
    page = fresh.page(**NARROW)
    page.goto("/shelf/")
    page.evaluate("document.querySelector('td').append('Unbreakable'.repeat(9)); ''")
    page.evaluate("document.querySelector('td').style.overflowWrap = 'normal'; ''")
    assert any("Materials on the shelf" in fault for fault in page.evaluate(CLIPPED))


def test_the_shelf_says_on_a_phone_when_a_material_runs_out_and_how_it_stands(fresh: Workshop) -> None:
    page = fresh.page(**NARROW)
    page.goto("/shelf/")
    heads = page.locator("thead th:visible")
    assert [head.split(",")[0].strip() for head in heads.all_inner_texts()] == ["Material", "On hand"]
    row = page.locator("tbody tr", has_text="Baking soda")
    see(row.get_by_text("Enough")).to_be_in_viewport()
    see(row.get_by_text("to 2 Mar 2030")).to_be_in_viewport()


def test_filters_fold_on_a_phone_until_one_is_set_and_lie_open_on_a_wide_screen(fresh: Workshop) -> None:
    phone, desk = fresh.page(**NARROW), fresh.page(**DESK)
    phone.goto("/skins/")
    field = phone.get_by_label("Tag, species").or_(phone.locator("#id_words")).first
    see(field).to_be_hidden()
    phone.locator(".sift > summary").tap()
    see(field).to_be_visible()
    phone.goto("/skins/?words=H0")
    see(phone.locator("#id_words")).to_be_visible()
    desk.goto("/skins/")
    see(desk.locator("#id_words")).to_be_visible()
    see(desk.locator(".sift > summary")).to_be_hidden()


@pytest.mark.parametrize("path", ["/", "/books/", "/batches/B5/steps/", "/nowhere/"])
def test_every_page_has_the_header_and_nothing_at_its_foot(fresh: Workshop, path: str) -> None:
    page = fresh.page(**NARROW)
    page.goto(path)
    see(page.get_by_role("searchbox", name="Search", exact=True)).to_be_in_viewport()
    see(page.get_by_label("Menu of owner")).to_be_in_viewport()
    assert page.locator("body > footer").count() == 0
    page.get_by_label("Menu of owner").tap()
    for word in ("My password", "Help"):
        see(page.get_by_role("link", name=word, exact=True)).to_be_visible()
    see(page.get_by_role("button", name="Dark", exact=True)).to_be_visible()
    assert not [fault for fault in page.evaluate(CLIPPED) if "page" in fault]
    page.keyboard.press("Escape")
    see(page.get_by_role("button", name="Dark", exact=True)).to_be_hidden()
    see(page.get_by_label("Menu of owner")).to_be_focused()
    fresh.told.clear()  # of the page that is not there


@pytest.mark.parametrize("path", ["/search/?q=a", "/search/?q=zebra", "/help/"], ids=["found", "nothing", "help"])
def test_search_and_help_serve_thumb_keyboard_and_reader(fresh: Workshop, path: str) -> None:
    page = fresh.page(**STILL)
    page.goto(path)
    assert looked_at(page) == []


@pytest.mark.parametrize("path", ["/books/", "/batches/B5/steps/"], ids=["desk", "shed"])
def test_the_open_menu_serves_thumb_and_reader(fresh: Workshop, path: str) -> None:
    page = fresh.page(**STILL)
    page.goto(path)
    page.get_by_label("Menu of owner").tap()
    assert on_phone(page) == []


@pytest.mark.parametrize("path", ["/setup/", "/batches/B5/steps/"])
def test_today_is_one_tap_away_however_far_the_sections_are_scrolled(fresh: Workshop, path: str) -> None:
    page = fresh.page(**NARROW)
    page.goto(path)
    page.locator("nav.rooms > div").evaluate("rooms => { rooms.scrollLeft = rooms.scrollWidth; }")
    today = page.get_by_role("link", name="Today", exact=True)
    see(today).to_be_in_viewport(ratio=1)
    see(page.get_by_role("link", name="Setup", exact=True)).to_be_in_viewport()
    today.tap()
    page.wait_for_url("**/")


def test_the_menu_and_the_search_work_without_javascript(fresh: Workshop) -> None:
    context = fresh.browser.new_context(
        base_url=fresh.home, storage_state=fresh.session, java_script_enabled=False, **PHONE
    )
    page = context.new_page()
    page.goto("/skins/")
    page.get_by_label("Menu of owner").tap()
    see(page.get_by_role("button", name="Sign out")).to_be_visible()
    page.get_by_role("searchbox", name="Search", exact=True).fill("alumk")
    page.keyboard.press("Enter")
    page.wait_for_url("**/shelf/ALUMK/")


def test_the_owners_device_tells_where_the_workshop_stands_while_nobody_has_said_so(fresh: Workshop) -> None:
    page = fresh.page(timezone_id="America/Chicago", **PHONE)
    page.goto("/setup/where/")
    zone = page.get_by_label("Time zone")
    see(zone).not_to_have_value("America/Chicago")  # the device that came first was believed
    zone.fill("")
    with page.expect_response("**/setup/zone/") as told:
        page.get_by_role("button", name="Save", exact=True).tap()
    assert told.value.status == 204
    page.goto("/setup/where/")
    see(zone).to_have_value("America/Chicago")
    assert page.locator("body[data-zone]").count() == 0
    assert fresh.told == []


def test_the_slash_leads_into_the_search_unless_somebody_types_or_has_turned_it_off(fresh: Workshop) -> None:
    page = fresh.page(**DESK)
    page.goto("/books/")
    page.keyboard.press("/")
    search = page.get_by_role("searchbox", name="Search", exact=True)
    see(search).to_be_focused()
    page.keyboard.type("h03")
    page.keyboard.press("Enter")
    page.wait_for_url("**/articles/H03/")

    page.goto("/skins/new/")
    page.get_by_label("Species").fill("")
    page.keyboard.press("/")
    see(page.get_by_label("Species")).to_have_value("/")

    page.goto("/help/")
    page.get_by_role("button", name="Turn the key off").click()
    page.goto("/books/")
    page.keyboard.press("/")
    see(search).not_to_be_focused()
    page.goto("/help/")
    page.get_by_role("button", name="Turn the key on").click()
    assert fresh.told == []
