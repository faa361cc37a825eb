"""Pages of the shed are short on a phone: Today, a batch, and every form as it opens; what is asked for rarely is folded."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from tests.browser.conftest import PHONE, Workshop, opened, playwright
from tests.browser.test_three_weeks import START, choice, desk, on, post

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]
SCREEN = 844
FORMS = (
    *("/skins/new/", "/jobs/new/", "/recipes/new/", "/batches/new/", "/shelf/new/", "/deliveries/new/", "/labour/new/"),
    *("/sales/new/", "/expenses/new/", "/articles/finish/", "/fairs/new/", "/customers/new/"),
    *("/batches/B1/edit/", "/batches/B1/join/", "/batches/B1/read/", "/skins/D1/edit/", "/skins/D1/read/"),
    *(
        "/setup/workshop/",
        "/setup/rates/",
        "/setup/terms/",
        "/setup/series/",
        "/recipes/MINE/bath/",
        "/recipes/MINE/new/",
    ),
)


@pytest.fixture(scope="module")
def two_batches(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """Two batches of an own recipe with skins in them, each in its tub."""
    with opened(tmp_path_factory.mktemp("short") / "data", "--empty") as workshop:
        page = workshop.page(**PHONE)
        page.goto("/")
        desk(page)
        post(page, "/places/new/", name="Red tub", kind="tub")
        for tag in ("E1", "E2"):
            post(page, "/skins/new/", tag=tag, species="Elk", owner="mine", date_in=str(START), price="25")
        planned = {"version": choice(page, "/batches/new/", "MINE"), "place": choice(page, "/batches/new/", "Red tub")}
        path = post(page, "/batches/new/", number="B2", start=str(START), litres="12", share_by="head", **planned)
        for tag in ("E1", "E2"):
            post(page, f"{path}join/", on=str(START), skins=tag)
        page.context.close()
        yield workshop


@pytest.fixture
def page(two_batches: Workshop) -> Iterator[playwright.Page]:
    made = two_batches.page(**PHONE)
    yield made
    made.context.close()


def screens(page: playwright.Page, path: str) -> float:
    """How many screens a page is long, its cautions read before."""
    page.goto(path)
    answer = page.goto(path)
    assert answer is not None
    assert answer.status == 200
    return float(page.evaluate("document.documentElement.scrollHeight")) / SCREEN


def test_today_with_two_batches_in_work_is_two_and_a_half_screens_at_most(page: playwright.Page) -> None:
    for day, due in ((0, 4), (3, 2), (12, 2)):
        on(page, day)
        assert page.locator(".task:not(.coming)").count() == due
        assert screens(page, "/") <= 2.5
        while (add := page.get_by_role("button", name=re.compile("^Added"))).count():
            add.first.tap()
            playwright.expect(page.locator(".told .done").last).to_contain_text("added.")
            page.goto("/")


def test_a_batch_is_two_screens_at_most(page: playwright.Page) -> None:
    on(page, 3)
    assert screens(page, "/batches/B1/") <= 2


@pytest.mark.parametrize("path", FORMS)
def test_a_form_is_two_screens_at_most(page: playwright.Page, path: str) -> None:
    assert screens(page, path) <= 2


def test_what_is_folded_opens_where_it_is_wrong(page: playwright.Page) -> None:
    page.goto("/skins/new/")
    fold = page.locator("details.more-fields")
    assert not fold.evaluate("fold => fold.open")
    page.get_by_label("Species").fill("Deer")
    fold.locator("summary").tap()
    page.get_by_label("Area, wet").fill("a lot")
    page.get_by_role("button", name="Add", exact=True).tap()
    playwright.expect(page.get_by_label("Area, wet")).to_be_visible()
    assert fold.evaluate("fold => fold.open")


def test_a_caution_is_read_once_a_day(page: playwright.Page) -> None:
    page.goto("/skins/new/")
    raw = page.locator(".care details", has_text="Raw skins")
    assert raw.evaluate("fold => fold.open")
    page.reload()
    assert not raw.evaluate("fold => fold.open")
    raw.locator("summary").tap()
    playwright.expect(raw.get_by_text("anthrax")).to_be_visible()
    page.evaluate("localStorage.setItem('cautions', JSON.stringify({ day: 'yesterday', words: [] }))")
    page.reload()
    assert raw.evaluate("fold => fold.open")
