"""The opened workshop in a real browser: on a phone with a thumb, on a wide screen with the keyboard, and one whole round of work.

The server is another process with a database of its own, so these tests share nothing with the others.
"""

from __future__ import annotations

from http.client import HTTPConnection
from urllib.parse import urlsplit

import pytest
from django.template.loader import get_template

from tests.browser import axe
from tests.browser.conftest import DESK, PHONE, Workshop
from tests.browser.walking import PROBE, STILL, THIN, looked_at, on_phone, walk
from tests.workshop.documents import reading

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]
ROOMS = ("Today", "Skins", "Batches", "Shelf", "Articles", "Sales", "Books", "Setup")


def listed(wrong: dict[str, list[str]]) -> str:
    return "\n".join(f"{path} {fault}" for path, faults in wrong.items() for fault in faults)


def test_every_linked_page_serves_thumb_keyboard_and_reader(fresh: Workshop) -> None:
    wrong, met = walk(fresh, fresh.page(**STILL))
    assert not wrong, listed(wrong)
    assert fresh.told == []
    assert len({name for name, *_ in met}) > 40, "the walk did not get far"


def bare(workshop: Workshop, body: str, of: str = "") -> playwright.Page:
    page = workshop.browser.new_context(**STILL).new_page()
    page.set_content(
        f"<!doctype html><html lang=en><title>Bare</title><meta name=viewport content='width=390'><body class={of!r}>{body}"
    )
    return page


def test_the_probe_sees_what_it_looks_for(fresh: Workshop) -> None:
    page = bare(
        fresh,
        "<h1>One</h1><h1>Two</h1><h3>Deep</h3><input id=a><select id=a></select><button></button>"
        "<a class=btn>Low</a><div style='width: 2000px'>wide</div>"
        "<details><summary style='display: block; height: 60px'>Fold</summary><button>Folded</button></details>",
    )
    faults = "\n".join(page.evaluate(PROBE))
    for fault in ("sideways", "2 first headings", "heading 3 after 1", "no label: <input", "no label: <select",
                  "px high: <button></button>", "px high: <button>Folded", "says nothing: <button", "twice the id a"):  # fmt: skip
        assert fault in faults
    assert "glove" not in faults


def test_the_probe_sees_what_a_glove_cannot_hit(fresh: Workshop) -> None:
    tall, small = (
        "display: inline-block; min-width: 57px; height: 57px",
        "display: inline-block; width: 100px; height: 56px",
    )
    page = bare(
        fresh,
        f"<h1>One</h1><button style='{tall}'>Good</button><label style='{tall}'><input type=checkbox>Good</label>"
        f"<p>Read <a href='/x'>the words</a> first.</p><a href='/y' style='{small}'>Low row</a>"
        "<p><a href='/z'>All there is</a></p><button style='height: 80px; width: 50px'>I</button>"
        "<label style='height: 50px'><input type=checkbox>Low tick</label><textarea aria-label=Low></textarea>",
        of="shed",
    )
    faults = "\n".join(fault for fault in page.evaluate(PROBE) if fault.startswith("no glove"))
    assert "Good" not in faults
    assert "/x" not in faults
    for fault in ("/y", "/z", ">I<", "checkbox", "<textarea"):
        assert fault in faults
    assert faults.count("no glove") == 5


def test_of_rows_built_alike_two_are_left_and_every_other_kind_stays(fresh: Workshop) -> None:
    rows = "".join(f"<tr><td>{number}</td></tr>" for number in range(9))
    odd = "<tr class=late><td>10</td></tr><tr><td><a href=/x>11</a></td></tr>"
    page = bare(fresh, f"<main><h1>One</h1><table><tbody>{rows}{odd}</tbody></table></main>")
    page.evaluate(THIN)
    assert page.locator("td").all_inner_texts() == ["0", "1", "10", "11"]


def test_axe_sees_a_planted_fault_on_a_page_under_the_content_policy(fresh: Workshop) -> None:
    page = fresh.page(**STILL)
    page.goto("/shelf/")
    assert axe.faults(page) == []
    page.evaluate(
        """() => {
          const main = document.querySelector("main");
          main.insertAdjacentHTML("beforeend", "<p id=pale>Pale words</p><img src='/static/workshop/icon.svg'><input>");
          document.getElementById("pale").style.color = "rgb(200, 200, 200)";
        }"""
    )
    found = {fault.split(":")[0] for fault in axe.faults(page)}
    assert found == {"color-contrast", "image-alt", "label"}
    assert {fault.split(":")[0] for fault in axe.faults(page, rules=[axe.COLOURS])} == {"color-contrast"}


def test_every_room_is_in_the_frame_and_marked_when_entered(fresh: Workshop) -> None:
    page = fresh.page(**PHONE)
    page.goto("/")
    for room in ROOMS:
        with page.expect_navigation():
            page.get_by_role("navigation", name="Sections").get_by_role("link", name=room, exact=True).tap()
        entered = page.locator("nav.rooms [aria-current]:visible")
        playwright.expect(entered).to_have_text(room)
        playwright.expect(entered).to_be_in_viewport()
    assert fresh.told == []


def test_the_skip_link_leads_past_the_rooms(fresh: Workshop) -> None:
    page = fresh.page(**DESK)
    page.goto("/books/")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    playwright.expect(page.locator("#main")).to_be_focused()


def strange(workshop: Workshop) -> playwright.Page:
    """A page of somebody who is not signed in."""
    return workshop.browser.new_context(base_url=workshop.home, **STILL).new_page()


def sign_in(page: playwright.Page, name: str, password: str) -> None:
    page.get_by_label("Username").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").tap()


def test_a_stranger_meets_the_door_on_a_phone(fresh: Workshop) -> None:
    page = strange(fresh)
    page.goto("/shelf/")
    assert looked_at(page) == []
    sign_in(page, "owner", "wrong")
    playwright.expect(page.get_by_role("alert").first).to_be_visible()
    assert looked_at(page) == []


def test_the_locked_door_serves_thumb_keyboard_and_reader(fresh: Workshop) -> None:
    page = strange(fresh)
    page.goto("/sign-in/")
    for _ in range(5):
        with page.expect_navigation():
            sign_in(page, "nobody", "wrong")
    assert page.evaluate("performance.getEntriesByType('navigation')[0].responseStatus") == 429
    assert looked_at(page) == []


def as_if(page: playwright.Page, path: str, body: str) -> None:
    """Show a page that no address leads to, among the workshop's own styles."""
    page.route(f"**{path}", lambda route: route.fulfill(body=body, content_type="text/html"))
    page.goto(path)


def test_pages_of_refusal_serve_thumb_keyboard_and_reader(fresh: Workshop) -> None:
    page = fresh.page(**STILL)
    wrong = {}
    for path in ("/nowhere/", "/sign-in/link/?key=used", "/skins/NONE/"):
        page.goto(path)
        wrong[path] = looked_at(page)
    door = HTTPConnection(urlsplit(fresh.home).netloc, timeout=10)
    door.request("GET", "/", headers={"Host": "elsewhere.example"})
    as_if(page, "/unknown-host/", door.getresponse().read().decode())
    wrong["another host"] = looked_at(page)
    door.close()
    as_if(page, "/fault/", get_template("500.html").render())
    wrong["a fault"] = looked_at(page)
    page.goto("/skins/new/")
    page.context.clear_cookies(name="csrftoken")
    page.get_by_label("Tag").fill("H99")
    with page.expect_navigation():
        page.locator("main form[method=post]").last.evaluate(
            "form => { form.noValidate = true; form.requestSubmit(); }"
        )
    wrong["a form without its token"] = looked_at(page)
    assert not any(wrong.values()), listed(wrong)


# Emptied, each of these is refused, so that nothing is written.
FORMS = (
    "/skins/new/",
    "/deliveries/new/",
    "/batches/new/",
    "/shelf/new/",
    "/recipes/new/",
    "/places/new/",
    "/setup/channels/new/",
    "/labour/new/",
    "/articles/finish/?skin=H13",
    "/batches/B5/read/",
    "/batches/B5/put-in-work/",
    "/setup/workshop/",
    "/setup/people/new/",
    "/setup/password/",
)

EMPTIED = """form => {
  for (const field of form.querySelectorAll("input:not([type=hidden], [type=checkbox], [type=radio]), textarea")) field.value = "";
  form.noValidate = true;
  form.requestSubmit();
}"""


@pytest.mark.parametrize("path", FORMS)
def test_a_refused_form_serves_thumb_and_reader(fresh: Workshop, path: str) -> None:
    page = fresh.page(**STILL)
    page.goto(path)
    page.locator("main form[method=post]").last.evaluate(EMPTIED)
    playwright.expect(page.locator(".summary")).to_be_visible()
    faults = on_phone(page)
    assert not faults, listed({path: faults})


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
    send(page, "Record delivery", "11.60 €")


def plan_and_put_in_work(page: playwright.Page) -> None:
    page.goto("/batches/new/")
    page.get_by_label("Number", exact=True).fill("B6")
    choose(page, "#id_version", "R1")
    page.get_by_label("H13").check()
    page.get_by_label("Litres of bath").fill("10")
    send(page, "Plan it", "B6 is planned.")
    page.locator("details.more > summary").tap()
    page.get_by_role("link", name="Add to batch", exact=True).tap()
    assert page.locator("#id_line-1-amount").input_value() == "0.8"
    send(page, "Add to batch", "Recorded on B6.")


def soften(page: playwright.Page) -> None:
    page.locator("details.more > summary").tap()
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
    page.locator("details.more > summary").tap()
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
