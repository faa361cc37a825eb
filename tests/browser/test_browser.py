"""The opened workshop in a real browser: on a phone with a thumb, on a wide screen with the keyboard, and one whole round of work.

The server is another process with a database of its own, so these tests share nothing with the others.
"""

from __future__ import annotations

from pathlib import Path
from urllib.parse import parse_qsl, urldefrag, urljoin, urlsplit

import pytest
from django.urls import Resolver404, resolve

from tests.browser.conftest import DESK, PHONE, Workshop
from tests.workshop.papers import reading

playwright = pytest.importorskip("playwright.sync_api")

pytestmark = [pytest.mark.browser, pytest.mark.slow]
PROBE = (Path(__file__).parent / "probe.js").read_text("utf-8")
ROOMS = ("Today", "Skins", "Batches", "Shelf", "Articles", "Sales", "Books", "Setup")


def kind(address: str) -> tuple[str, ...] | None:
    """Pages of one kind share a view and the names of what is asked; None for files and foreign places."""
    parts = urlsplit(address)
    try:
        found = resolve(parts.path)
    except Resolver404:
        return ("lost", parts.path)
    if parts.path.endswith((".pdf", ".csv", ".xlsx")):
        return None
    return (found.url_name or "", *sorted(key for key, _ in parse_qsl(parts.query)))


def looked_at(page: playwright.Page) -> list[str]:
    """What is wrong with the open page on the phone and, after that, on the wide screen with the keyboard."""
    faults = [f"phone: {fault}" for fault in page.evaluate(PROBE)]
    page.set_viewport_size(DESK["viewport"])
    faults += [f"desk: {fault}" for fault in page.evaluate(PROBE)]
    # The first Tab must reach the way past the rooms; a page that sets the focus itself is in its form already.
    if page.evaluate("document.activeElement === document.body"):
        page.keyboard.press("Tab")
        reached = page.evaluate("document.activeElement.className")
        if "skip" not in reached:
            faults.append(f"desk: the first Tab reaches {reached!r}")
    page.set_viewport_size(PHONE["viewport"])
    return faults


def walk(workshop: Workshop, page: playwright.Page) -> tuple[dict[str, list[str]], set[tuple[str, ...]]]:
    """Look at one page of every kind that a link leads to, from Today on: what is wrong by address, and the kinds met."""
    waiting, met, wrong = ["/"], {kind("/")}, {}
    while waiting:
        here = waiting.pop(0)
        answer = page.goto(here)
        assert answer is not None
        faults = looked_at(page)
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


def test_every_linked_page_serves_thumb_keyboard_and_reader(fresh: Workshop) -> None:
    wrong, met = walk(fresh, fresh.page(**PHONE))
    assert wrong == {}
    assert fresh.told == []
    assert len({name for name, *_ in met}) > 40, "the walk did not get far"


def test_the_probe_sees_what_it_looks_for(fresh: Workshop) -> None:
    page = fresh.browser.new_context(**PHONE).new_page()
    page.set_content(
        "<h1>One</h1><h1>Two</h1><h3>Deep</h3><input id=a><select id=a></select><button></button>"
        "<a class=btn>Low</a><div style='width: 2000px'>wide</div><meta name=viewport content='width=390'>"
    )
    faults = "\n".join(page.evaluate(PROBE))
    for fault in ("sideways", "2 first headings", "heading 3 after 1", "no label: <input", "no label: <select",
                  "px high: <button", "says nothing: <button", "twice the id a"):  # fmt: skip
        assert fault in faults


def test_every_room_is_in_the_frame_and_marked_when_entered(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    page.goto("/")
    for room in ROOMS:
        page.get_by_role("navigation", name="Rooms").get_by_role("link", name=room, exact=True).tap()
        entered = page.locator("nav.rooms [aria-current]")
        playwright.expect(entered).to_have_text(room)
        playwright.expect(entered).to_be_in_viewport()
    assert fresh.told == []


def test_the_skip_link_leads_past_the_rooms(fresh: Workshop) -> None:
    page = fresh.page(**DESK)
    page.goto("/books/")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    playwright.expect(page.locator("#main")).to_be_focused()


def test_a_stranger_meets_the_door_on_a_phone(fresh: Workshop) -> None:
    page = fresh.browser.new_context(base_url=fresh.home, **PHONE).new_page()
    page.goto("/shelf/")
    assert page.evaluate(PROBE) == []
    page.get_by_label("Username").fill("owner")
    page.get_by_label("Password").fill("wrong")
    page.get_by_role("button", name="Sign in").tap()
    playwright.expect(page.get_by_role("alert").first).to_be_visible()
    assert page.evaluate(PROBE) == []


def send(page: playwright.Page, button: str, done: str) -> None:
    """Press the button and see the words that say it is written."""
    page.get_by_role("button", name=button, exact=True).tap()
    playwright.expect(page.locator(".told .done")).to_contain_text(done)


def choose(page: playwright.Page, field: str, words: str) -> None:
    page.locator(field).select_option(page.locator(f"{field} option", has_text=words).first.get_attribute("value"))


def goods_in(page: playwright.Page) -> None:
    page.goto("/deliveries/new/")
    page.get_by_label("Supplier").fill("Utuharju Chemicals")
    page.get_by_label("Reference").fill("P-009")
    choose(page, "#id_rows-0-material", "Potash alum")
    page.locator("#id_rows-0-packs").fill("1")
    page.locator("#id_rows-0-pack_price").fill("11,60")
    send(page, "Record the delivery", "11.60 €")


def plan_and_put_in_work(page: playwright.Page) -> None:
    page.goto("/batches/new/")
    page.get_by_label("Number").fill("B6")
    choose(page, "#id_version", "R1")
    page.get_by_label("H13").check()
    page.get_by_label("Litres of bath").fill("10")
    send(page, "Plan it", "B6 is planned.")
    page.get_by_role("link", name="Put in work", exact=True).tap()
    assert page.locator("#id_line-1-amount").input_value() == "0.8"
    send(page, "Put in work", "Written on B6.")


def soften(page: playwright.Page) -> None:
    page.get_by_role("link", name="Log work", exact=True).tap()
    page.get_by_label("Task").fill("soften")
    page.get_by_label("Minutes").fill("120")
    send(page, "Log it", "120 min soften are logged.")


def finish_and_price(page: playwright.Page) -> None:
    page.goto("/articles/finish/?skin=H13")
    page.locator("#id_rows-0-kind").fill("rug")
    page.locator("#id_rows-0-area").fill("64,5")
    send(page, "Finish", "H13 is finished; the cost is frozen.")
    page.goto("/articles/H13/price/")
    page.get_by_label("List price").fill("150")
    send(page, "Save", "The list price is set.")


def label(page: playwright.Page) -> None:
    page.goto("/articles/H13/")
    for name in ("Care label", "Price ticket"):
        href = page.get_by_role("link", name=name).first.get_attribute("href")
        assert href
        answer = page.request.get(href)
        assert answer.headers["content-type"] == "application/pdf"
        assert reading.barcodes(answer.body()) == ["H13"]


def test_a_round_of_work_from_the_delivery_to_the_label(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    goods_in(page)
    plan_and_put_in_work(page)
    soften(page)
    finish_and_price(page)
    label(page)
    assert fresh.told == []
