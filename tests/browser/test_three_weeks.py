"""Three weeks of a new maker on a phone, by a recipe of their own: nothing that goes in is missed, doubled or forgotten."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import count
from pathlib import Path

import pytest

from tests.browser.conftest import PHONE, opened, playwright
from tests.browser.test_shed import token

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.thorough]
see = playwright.expect
START = date(2026, 3, 2)
_numbers = count(1)


@pytest.fixture
def phone(tmp_path: Path) -> Iterator[playwright.Page]:
    with opened(tmp_path / "data", "--empty") as workshop:
        page = workshop.page(**PHONE)
        page.goto("/")
        yield page
        assert [told for told in workshop.told if " lost " not in told and "ERR_INTERNET" not in told] == []


def post(page: playwright.Page, path: str, **fields: str) -> str:
    """Enter a form by hand, as at the desk."""
    sent = {"request_key": f"desk-{next(_numbers)}", **fields}
    answer = page.request.post(path, form=sent, headers={"X-CSRFToken": token(page)}, max_redirects=0)
    wrong = re.findall(r'<(?:li|p class="error)[^>]*>([^<]+)', answer.text())
    assert answer.status == 302, f"{path}: {wrong}"
    return answer.headers["location"]


def on(page: playwright.Page, nth: int) -> None:
    """The day that the workshop lives in, and its first page."""
    shop = {
        "name": "Creek Hides",
        "currency": "USD",
        "cost_flow": "average",
        "bath_unit": "L",
        "degrees": "C",
        "maker": "J. Doe",
    }
    post(page, "/setup/workshop/", **shop, on=str(START + timedelta(days=nth)))
    page.goto("/")


def rows(prefix: str, *each: dict[str, str]) -> dict[str, str]:
    head = {f"{prefix}-TOTAL_FORMS": str(len(each)), f"{prefix}-INITIAL_FORMS": "0"}
    return head | {f"{prefix}-{nth}-{name}": value for nth, row in enumerate(each) for name, value in row.items()}


def choice(page: playwright.Page, path: str, words: str) -> str:
    found = re.search(rf'value="(\d+)"[^>]*>\s*{re.escape(words)}', page.request.get(path).text())
    assert found, f"{path} offers no {words}"
    return found[1]


def desk(page: playwright.Page) -> None:
    """Materials with opening stock, a recipe in pounds and grams, two skins and a batch that begins today."""
    on(page, 0)
    kinds = (
        ("ALUM", "Alum", "kg", "potash_alum"),
        ("SALT", "Salt", "kg", "salt"),
        ("SODA", "Washing soda", "kg", "washing_soda_crystals"),
        ("OIL", "Oil", "L", ""),
    )
    for code, name, unit, substance in kinds:
        post(page, "/shelf/new/", code=code, name=name, unit=unit, substance=substance)
        post(page, f"/shelf/{code}/opening/", on=str(START), quantity="9", unit=unit, value="20")
    of = {code: choice(page, "/recipes/new/", name) for code, name, *_ in kinds}
    line = {"basis": "per_litre", "step": "Bath"}
    lines = rows(
        "rows",
        {"material": of["ALUM"], "amount": "0.25", "unit": "lb", **line},
        {"material": of["SALT"], "amount": "0.2", "unit": "lb", **line},
        {"material": of["SODA"], "amount": "25", "unit": "g", "day": "3", "how": "slowly", **line},
        {"material": of["OIL"], "amount": "80", "unit": "mL", "basis": "per_skin", "step": "Oil"},
    )
    bath = {"name": "Bath", "task": "Take out", "lasts_days": "12", "grace_days": "2", "uses": "tub", "kind": "bath"}
    soften = {"name": "Soften", "kind": "soften", "lasts_days": "5", "repeat": "Soften while damp", "every_days": "1"}
    steps = rows("steps", bath, {"name": "Oil", "kind": "oil"}, soften)
    post(page, "/recipes/new/", code="MINE", method="alum_tawed", **lines, **steps)
    for tag in ("D1", "D2"):
        post(page, "/skins/new/", tag=tag, species="Deer", owner="mine", date_in=str(START), price="15")
    post(page, "/places/new/", name="Blue tub", kind="tub")
    planned = {"version": choice(page, "/batches/new/", "MINE"), "place": choice(page, "/batches/new/", "Blue tub")}
    path = post(page, "/batches/new/", number="B1", start=str(START), litres="10", share_by="head", **planned)
    post(page, f"{path}join/", on=str(START), skins="D1")
    post(page, f"{path}join/", on=str(START), skins="D2")


def asked(page: playwright.Page) -> list[str]:
    """What Today says is to go in now."""
    found = page.locator(".task:not(.coming) b", has_text="Add ").all_inner_texts()
    return [words.removeprefix("Add ") for words in found]


def add(page: playwright.Page, material: str) -> None:
    page.get_by_role("button", name=re.compile(rf"Added ?: .* {material}, B1")).tap()


def done(page: playwright.Page, words: str) -> None:
    see(page.locator(".told .done").last).to_contain_text(words)


def label(page: playwright.Page, into: Path) -> str:
    into.write_bytes(page.request.get("/batches/B1/bath.pdf").body())
    return subprocess.run(["pdftotext", "-layout", into, "-"], capture_output=True, check=True).stdout.decode()


def test_three_weeks_by_an_own_recipe(phone: playwright.Page, tmp_path: Path) -> None:
    desk(phone)

    # Alum and salt on the first day.
    phone.goto("/")
    assert asked(phone) == ["2.5 lb Alum", "2 lb Salt"]
    add(phone, "Alum")
    done(phone, "Alum, B1: added.")
    add(phone, "Salt")
    done(phone, "Salt, B1: added.")
    assert asked(phone) == []

    # Soda on day 3, without a signal: a second tap makes nothing.
    on(phone, 3)
    assert asked(phone) == ["0.25 kg Washing soda"]
    phone.context.set_offline(True)
    add(phone, "Washing soda")
    see(phone.locator("#kept-count")).to_have_text("1")
    phone.get_by_role("button", name=re.compile("Added ?: .* Washing soda, B1")).tap(force=True)
    see(phone.locator("#kept-count")).to_have_text("1")
    phone.context.set_offline(False)
    see(phone.locator("#kept")).to_be_hidden()
    assert len(re.findall(r"/uses/\d+/take-back/", phone.request.get("/batches/B1/").text())) == 3
    said = label(phone, tmp_path / "label.pdf")
    for told in ("2.5 lb", "2 lb", "0.25 kg", "filled 2 Mar 2026", "last addition 5 Mar 2026"):
        assert told in said
    phone.goto("/")
    assert asked(phone) == []

    # Out of the bath on day 12, and the oil is asked for before its step is called done.
    on(phone, 12)
    phone.get_by_role("button", name="Take out: done").tap()
    done(phone, "Take out, B1: logged")
    assert asked(phone) == ["0.16 L Oil"]
    see(phone.get_by_role("button", name="Oil: done")).to_have_count(0)
    add(phone, "Oil")
    done(phone, "Oil, B1: added.")
    phone.get_by_role("button", name="Oil: done").tap()
    done(phone, "Oil, B1: logged")

    # Softening that was timed is not asked for again.
    on(phone, 13)
    see(phone.locator(".task", has_text="Soften while damp").get_by_role("button")).to_be_visible()
    phone.locator(".task", has_text="Soften while damp").get_by_role("link", name="Start timer").tap()
    phone.get_by_role("button", name="Start timer", exact=True).tap()
    done(phone, "The timer runs")
    phone.goto("/")
    phone.get_by_role("button", name="Stop").tap()
    done(phone, "Soften while damp: done.")
    phone.goto("/")
    see(phone.locator(".task:not(.coming)", has_text="Soften while damp")).to_have_count(0)
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
