"""The commonest actions at the desk and the counter, from Today on a phone, with the taps that each takes."""

from __future__ import annotations

import re

import pytest

from tests.browser.conftest import PHONE, Workshop, playwright
from tests.browser.hand import Hand

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]


@pytest.fixture
def demo(fresh: Workshop) -> Hand:
    page = fresh.page(**PHONE)
    page.goto("/")
    return Hand(page)


def test_what_is_alerted_is_ordered_with_two_taps(demo: Hand) -> None:
    demo.link(re.compile("I ordered it.*Potash alum"))
    demo.button("I ordered it")
    demo.told("is written down")
    assert demo.taps == 2


def test_a_least_price_is_found_with_two_taps(demo: Hand) -> None:
    demo.link("Articles")
    demo.link("H03")
    playwright.expect(demo.page.get_by_role("heading", name="Least price")).to_be_visible()
    assert demo.taps == 2


def test_a_care_label_is_printed_with_three_taps(demo: Hand) -> None:
    demo.link("Articles")
    demo.link("H03")
    with demo.page.expect_request(re.compile(r"/articles/H03/care\.pdf$")):
        demo.link("Care label")
    assert demo.taps == 3


def test_the_month_is_a_paper_with_two_taps(demo: Hand) -> None:
    demo.link("Books")
    with demo.page.expect_download() as printed:
        demo.link("Month as PDF")
    assert printed.value.suggested_filename.endswith(".pdf")
    assert demo.taps == 2
