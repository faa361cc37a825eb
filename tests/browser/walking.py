"""Looking at pages: one page at both widths and in both lights, and the walk to a page of every kind that a link leads to."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urldefrag, urljoin, urlsplit

from django.urls import Resolver404, resolve

from tests.browser import axe
from tests.browser.conftest import DESK, PHONE, Workshop

PROBE = (Path(__file__).parent / "probe.js").read_text("utf-8")
FILES = (".pdf", ".csv", ".ics", ".jpg")
# Colours that are still on their way from one light to the other are no fault.
STILL = {**PHONE, "reduced_motion": "reduce", "color_scheme": "light"}

Kind = tuple[str, ...]


def kind(address: str) -> Kind | None:
    """Pages of one kind share a view and the names of what is asked; None for files and foreign places."""
    parts = urlsplit(address)
    if parts.path.endswith(FILES):
        return None
    try:
        found = resolve(parts.path)
    except Resolver404:
        return ("lost", parts.path)
    return (found.url_name or "", *sorted(key for key, _ in parse_qsl(parts.query)))


def on_phone(page: Any, *, with_axe: bool = True) -> list[str]:
    """What is wrong with the page as it is open on the phone, by day; a shed page is looked at in the dark too."""
    faults = [*page.evaluate(PROBE), *(axe.faults(page) if with_axe else [])]
    if with_axe and page.evaluate("document.body.classList.contains('shed')"):
        page.emulate_media(color_scheme="dark")
        faults += [f"dark: {fault}" for fault in axe.faults(page, rules=axe.CONTRAST)]
        page.emulate_media(color_scheme="light")
    return [f"phone: {fault}" for fault in faults]


def on_desk(page: Any, *, with_axe: bool = True) -> list[str]:
    """What is wrong with the open page on the wide screen in the evening, and with the keyboard."""
    page.set_viewport_size(DESK["viewport"])
    page.emulate_media(color_scheme="dark")
    faults = [*page.evaluate(PROBE), *(axe.faults(page) if with_axe else [])]
    # The first Tab must reach the way past the rooms; a page that sets the focus itself is in its form already.
    if page.evaluate("document.activeElement === document.body"):
        page.keyboard.press("Tab")
        reached = page.evaluate("document.activeElement.className")
        if "skip" not in reached:
            faults.append(f"the first Tab reaches {reached!r}")
    page.emulate_media(color_scheme="light")
    page.set_viewport_size(PHONE["viewport"])
    return [f"desk: {fault}" for fault in faults]


def looked_at(page: Any, *, with_axe: bool = True) -> list[str]:
    """What is wrong with the open page: for thumb, glove, keyboard and reader, on the phone and on the wide screen."""
    return [*on_phone(page, with_axe=with_axe), *on_desk(page, with_axe=with_axe)]


def walk(workshop: Workshop, page: Any, begin: Iterable[str] = ("/",)) -> tuple[dict[str, list[str]], set[Kind]]:
    """Look at one page of every kind that a link leads to: what is wrong by address, and the kinds met.

    axe looks at the first page of each view; the other kinds of that view show the same parts sorted or sifted.
    """
    waiting = list(begin)
    met, wrong = {sort for address in waiting if (sort := kind(address))}, {}
    seen: set[str] = set()
    while waiting:
        here = waiting.pop(0)
        answer = page.goto(here)
        assert answer is not None
        view = (kind(here) or ("",))[0]
        faults = looked_at(page, with_axe=view not in seen)
        seen.add(view)
        if answer.status != 200:
            faults.append(f"answered {answer.status}")
        if faults:
            wrong[here] = faults
        for link in page.eval_on_selector_all("a[href]", "found => found.map(a => a.getAttribute('href'))"):
            there = urldefrag(urljoin(page.url, link)).url.removeprefix(workshop.home)
            if there.startswith("/") and (sort := kind(there)) and sort not in met:
                met.add(sort)
                waiting.append(there)
    return wrong, met
