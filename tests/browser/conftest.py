"""The opened workshop with a browser before it: a process and a database of their own, so that nothing is shared with others."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.serving import serving

playwright = pytest.importorskip("playwright.sync_api")
LINK = re.compile(r"http://\S+key=\S+")
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
LEFT = "net::ERR_ABORTED"
DESK = {"viewport": {"width": 1280, "height": 900}}

# Long enough for a machine that does other work beside; only what fails waits so long.
PATIENCE = 20_000
playwright.expect.set_options(timeout=PATIENCE)


@dataclass
class Workshop:
    """The served workshop, a browser, and the owner's session in it."""

    browser: playwright.Browser
    home: str
    session: playwright.StorageState
    told: list[str] = field(default_factory=list)

    def page(self, **options: object) -> playwright.Page:
        """A page that notes every complaint of the browser in `told`: faults, refusals of the content policy, lost files.

        A file still under way when the page is left was given up by the browser itself, not lost.
        """
        context = self.browser.new_context(base_url=self.home, storage_state=self.session, locale="en-GB", **options)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.on("console", lambda said: self.told.append(f"{page.url}: {said.text}") if said.type == "error" else None)
        page.on("pageerror", lambda fault: self.told.append(f"{page.url}: {fault}"))
        page.on(
            "requestfailed",
            lambda lost: (
                self.told.append(f"{page.url} lost {lost.url}: {lost.failure}") if lost.failure != LEFT else None
            ),
        )
        return page


def chromium() -> str:
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if not found:
        if os.environ.get("TAWERY_NEED_BROWSER") == "1":
            pytest.fail("TAWERY_NEED_BROWSER=1 and no Chromium is on this machine")
        pytest.skip("no Chromium on this machine: install your system's package `chromium`")
    return found


@contextmanager
def opened(data: Path, *words: str) -> Iterator[Workshop]:
    """The workshop served from `data`, and the owner in it, who came in as the printed line says: by the link, once."""
    path = chromium()
    with serving(data, *words) as (port, said), playwright.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        found = LINK.search(said)
        assert found
        context = browser.new_context(**PHONE)
        page = context.new_page()
        page.goto(found.group())
        page.get_by_role("button", name="Sign in as owner").click()
        page.wait_for_url("**/")
        assert urlsplit(page.url).path == "/"
        session = context.storage_state()
        context.close()
        yield Workshop(browser, f"http://localhost:{port}", session)
        browser.close()


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    with opened(tmp_path_factory.mktemp("served") / "data") as made:
        yield made


@pytest.fixture
def fresh(workshop: Workshop) -> Iterator[Workshop]:
    """Nothing told yet; a test that leaves complaints of the browser behind has failed."""
    workshop.told.clear()
    yield workshop
    for context in workshop.browser.contexts:
        context.close()
