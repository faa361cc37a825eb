"""Looking at pages: one page at both widths and in both lights, and the walk to a page of every kind that a link leads to."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urldefrag, urljoin, urlsplit

from django.urls import Resolver404, resolve

from tests.browser import axe
from tests.browser.conftest import DESK, PHONE, Workshop
from tests.thorough import THOROUGH

PROBE = (Path(__file__).parent / "probe.js").read_text("utf-8")
THIN = (Path(__file__).parent / "thin.js").read_text("utf-8")
FILES = (".pdf", ".csv", ".xlsx", ".ics", ".jpg", ".zip", "/e-invoice/ubl/", "/e-invoice/cii/", "/e-invoice/pdf/")

# axe is slow: between changes it looks at a page of each sort, and before a change is taken in (TAWERY_THOROUGH=1) at all.
SORTS = frozenset({"today", "steps", "skins", "recipe_new", "sale_new", "article", "results"})

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


def on_phone(page: Any) -> list[str]:
    """What is wrong with the page as it is open on the phone, by day, for thumb, glove and reader."""
    return [f"phone: {fault}" for fault in [*page.evaluate(PROBE), *axe.faults(page)]]


def looked_at(page: Any, *, with_axe: bool = True) -> list[str]:
    """What is wrong with the open page on the phone by day and on the wide screen in the evening.

    axe asks all its rules once, at the width the page is made for; targets at both widths and colours in both lights. Its
    look at the colours takes longer than all the rest together.
    """
    found = {"phone": page.evaluate(PROBE)}
    shed = page.evaluate("document.body.classList.contains('shed')")
    page.set_viewport_size(DESK["viewport"])
    found["desk"] = [*page.evaluate(PROBE), *without_a_mouse(page)]
    if with_axe:
        page.evaluate(THIN)
        page.emulate_media(color_scheme="light" if shed else "dark")
        found["desk, axe"] = axe.faults(page, rules=[axe.TARGETS] if shed else None)
    page.set_viewport_size(PHONE["viewport"])
    if with_axe:
        page.emulate_media(color_scheme="light")
        found["phone, axe"] = axe.faults(page, rules=None if shed else [axe.TARGETS, axe.COLOURS])
    if with_axe and shed:
        page.emulate_media(color_scheme="dark")
        found["phone in the dark, axe"] = axe.faults(page, rules=[axe.COLOURS])
    page.emulate_media(color_scheme="light")
    return [f"{where}: {fault}" for where, faults in found.items() for fault in faults]


def without_a_mouse(page: Any) -> list[str]:
    """The first Tab must reach the way past the rooms; a page that sets the focus itself is in its form already."""
    if not page.evaluate("document.activeElement === document.body"):
        return []
    page.keyboard.press("Tab")
    reached = page.evaluate("document.activeElement.className")
    page.evaluate("document.activeElement.blur()")  # the way past the rooms lies over them while it has the focus
    return [] if "skip" in reached else [f"the first Tab reaches {reached!r}"]


def walk(workshop: Workshop, page: Any, begin: Iterable[str] = ("/",)) -> tuple[dict[str, list[str]], set[Kind]]:
    """Look at one page of every kind that a link leads to: what is wrong by address, and the kinds met.

    axe looks at the first page of each view; the other kinds of that view show the same parts sorted or sifted. Without
    TAWERY_THOROUGH it looks at a few views only.
    """
    waiting = list(begin)
    met, wrong = {sort for address in waiting if (sort := kind(address))}, {}
    seen: set[str] = set()
    while waiting:
        here = waiting.pop(0)
        answer = page.goto(here)
        assert answer is not None
        links = page.eval_on_selector_all("a[href]", "found => found.map(a => a.getAttribute('href'))")
        view = (kind(here) or ("",))[0]
        faults = looked_at(page, with_axe=view not in seen and (THOROUGH or view in SORTS))
        seen.add(view)
        if answer.status != 200:
            faults.append(f"answered {answer.status}")
        if faults:
            wrong[here] = faults
        for link in links:
            there = urldefrag(urljoin(page.url, link)).url.removeprefix(workshop.home)
            if there.startswith("/") and (sort := kind(there)) and sort not in met:
                met.add(sort)
                waiting.append(there)
    return wrong, met
