"""The shed's day on a phone: one tap for a turn, a session, a bath put in work; and all of it once more without a network.

What reached the books is asked of the pages, never of the phone.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import count
from urllib.parse import unquote

import pytest

from tests.browser.conftest import PHONE, Workshop
from tests.browser.walking import STILL, looked_at

playwright = pytest.importorskip("playwright.sync_api")
pytestmark = [pytest.mark.browser, pytest.mark.slow]
TODAY, START = "2025-12-31", "2025-12-29"
PASSWORD = "salt and alum 9"
_numbers = count(1)


@pytest.fixture
def phone(fresh: Workshop) -> playwright.Page:
    return fresh.page(**PHONE)


@pytest.fixture(autouse=True)
def only_the_cut_is_told(fresh: Workshop) -> Iterator[None]:
    """The browser complains of every request that the cut network or a refusal costs; nothing else may be told."""
    yield
    expected = re.compile(r"ERR_INTERNET_DISCONNECTED|ERR_FAILED|status of (4\d\d|50[03])| lost http")
    assert [line for line in fresh.told if not expected.search(line)] == []


def see(thing: playwright.Locator) -> playwright.LocatorAssertions:
    return playwright.expect(thing)


def token(page: playwright.Page, path: str = "/setup/password/") -> str:
    found = re.search(r'"X-CSRFToken": "(\w+)"', page.request.get(path).text())
    assert found
    return found[1]


def post(page: playwright.Page, path: str, sealed: str = "", **fields: str) -> str:
    """Enter a form by hand, as another device does; what the answer says, or where it leads."""
    sent = {"request_key": f"test-{next(_numbers)}", **fields}
    headers = {"X-CSRFToken": sealed or token(page)}
    answer = page.request.post(path, form=sent, headers=headers, max_redirects=0)
    assert answer.status == 302 or "Please correct this" not in answer.text(), f"{path}: {answer.text()}"
    return answer.headers.get("location") or answer.text()


@dataclass(frozen=True)
class Recipe:
    """A recipe of the tests: half a bath, turned daily, then a rest; salt by the litre."""

    version: str
    bath: str


@pytest.fixture(scope="module")
def recipe(workshop: Workshop) -> Recipe:
    page = workshop.page()
    salt = re.search(r'value="(\d+)"[^>]*>Salt', page.request.get("/recipes/new/").text())
    assert salt
    line = {"material": salt[1], "amount": "10", "unit": "g", "basis": "per_litre", "step": "Bath"}
    bath = {"name": "Bath", "task": "Take out", "lasts_days": "11", "grace_days": "3"}
    turned = {"repeat": "Turn", "every_days": "1", "repeat_minutes": "6", "caution": "Open every fold."}
    fields = {"rows-TOTAL_FORMS": "1", "rows-INITIAL_FORMS": "0", "steps-TOTAL_FORMS": "2", "steps-INITIAL_FORMS": "0"}
    fields |= {f"rows-0-{name}": value for name, value in line.items()}
    fields |= {f"steps-0-{name}": value for name, value in (bath | turned).items()}
    post(page, "/recipes/new/", code="Q1", method="alum_tawed", **fields, **{"steps-1-name": "Rest"})
    version = re.search(r'value="(\d+)"[^>]*>Q1', page.request.get("/batches/new/").text())
    assert version
    post(page, "/batches/new/", number="T0", version=version[1], start=TODAY, litres="1", share_by="head")
    step = re.search(r"/steps/(\d+)/log/", page.request.get("/batches/T0/steps/").text())
    assert step
    page.context.close()
    return Recipe(version[1], step[1])


@dataclass(frozen=True)
class Bath:
    """A batch of its own, two days in its bath: a turn is a day late."""

    number: str
    skin: str
    step: str

    @property
    def log(self) -> str:
        return f"/batches/{self.number}/steps/{self.step}/log/"


@pytest.fixture
def new_bath(phone: playwright.Page, recipe: Recipe) -> Callable[[], Bath]:
    sealed = token(phone)

    def make() -> Bath:
        made = next(_numbers)
        number, skin = f"T{made}", f"K{made}"
        post(phone, "/skins/new/", sealed, tag=skin, species="Sheep", owner="mine", date_in=START, price="5")
        planned = {"version": recipe.version, "start": START, "skins": skin, "litres": "1", "share_by": "head"}
        post(phone, "/batches/new/", sealed, number=number, **planned)
        phone.request.get("/setup/password/")  # takes the messages of the making off the next page
        return Bath(number, skin, recipe.bath)

    return make


@pytest.fixture
def bath(new_bath: Callable[[], Bath]) -> Bath:
    return new_bath()


def closed_up(html: str) -> str:
    """A page without the white space beside its tags."""
    return re.sub(r"\s*([<>])\s*", r"\1", html)


def marks(page: playwright.Page, of: Bath) -> list[str]:
    """What is logged of the bath's steps beyond its beginnings, in the order of the page."""
    told = closed_up(page.request.get(f"/batches/{of.number}/steps/").text())
    found = re.findall(r"<p>(?:<s>)?<b>(\w+)</b>, \w+ (\d+) Dec 2025", told)
    return [kind for kind, day in found if day == "31"]


def labour(page: playwright.Page, skin: str, task: str) -> int:
    """How many lines of labour at a task stand on a skin's page."""
    told = closed_up(page.request.get(f"/skins/{skin}/").text())
    return len(re.findall(rf"<td>{task} ?<span", told))


def uses(page: playwright.Page, of: Bath) -> int:
    return page.request.get(f"/batches/{of.number}/").text().count("/take-back/")


def task_of(page: playwright.Page, of: Bath) -> playwright.Locator:
    return page.locator(".task", has_text=of.number).filter(has=page.get_by_role("button"))


def turn(page: playwright.Page, of: Bath) -> playwright.Locator:
    return task_of(page, of).get_by_role("button", name=re.compile(f"Turn: done ?, {of.number}$"))


def waiting(page: playwright.Page) -> playwright.Locator:
    return page.locator("#kept")


def cut(page: playwright.Page) -> None:
    page.context.set_offline(True)


def join(page: playwright.Page) -> None:
    page.context.set_offline(False)


def test_from_the_sign_in_a_turn_is_logged_in_two_taps(fresh: Workshop, phone: playwright.Page, bath: Bath) -> None:
    name = f"aino{next(_numbers)}"
    post(phone, "/setup/people/new/", name=name, role="helper")
    people = phone.request.get("/setup/").text()
    row = re.search(rf'people/(\d+)/link/">One-time link<span class="sr"> for {name}', people)
    assert row
    link = re.search(r"http://\S+?key=[\w-]+", post(phone, f"/setup/people/{row[1]}/link/"))
    assert link
    theirs = fresh.browser.new_context(base_url=fresh.home, **PHONE).new_page()
    theirs.goto(link[0])
    theirs.get_by_role("button", name=f"Sign in as {name}").click()
    theirs.wait_for_url("**/")
    post(theirs, "/setup/password/", password=PASSWORD)
    theirs.context.clear_cookies()

    taps: list[str] = []
    theirs.expose_function("tapped", lambda said: taps.append(said))
    theirs.add_init_script("addEventListener('pointerup', (e) => tapped(e.target.textContent.trim()), true)")
    theirs.goto("/sign-in/")
    theirs.keyboard.press("Tab")
    theirs.get_by_label("Username").fill(name)
    theirs.get_by_label("Password").fill(PASSWORD)
    theirs.get_by_role("button", name="Sign in").tap()
    turn(theirs, bath).tap()
    see(theirs.locator(".told .done")).to_contain_text(f"Turn, {bath.number}")
    assert taps == ["Sign in", f"Turn: done, {bath.number}"]
    assert marks(phone, bath) == ["Turn"]
    assert labour(phone, bath.skin, "Turn") == 1


@pytest.mark.thorough
def test_a_tap_may_be_undone_and_the_offer_leaves(phone: playwright.Page, bath: Bath) -> None:
    phone.clock.install()
    phone.goto("/")
    turn(phone, bath).tap()
    phone.get_by_role("button", name="Undo").tap()
    see(phone.locator(".told .done")).to_contain_text("The entry is undone")
    see(phone).to_have_url(re.compile(r"/$"))
    see(turn(phone, bath)).to_be_visible()
    turn(phone, bath).tap()
    see(phone.get_by_role("button", name="Undo")).to_be_visible()
    assert phone.evaluate("document.activeElement === document.body")
    below = phone.locator(".hands").bounding_box()
    phone.clock.fast_forward(11_000)
    see(phone.get_by_role("button", name="Undo")).to_be_hidden()
    assert phone.locator(".hands").bounding_box() == below, "nothing slides under the thumb"
    see(phone.locator("#kept-told")).to_have_text("The time for the undo is over.")
    see(phone.locator(".told .done")).to_contain_text(f"Turn, {bath.number}")


def start_session(page: playwright.Page, skin: str) -> None:
    page.get_by_label(skin, exact=False).first.check()
    page.get_by_role("button", name="Start timer", exact=True).tap()


@pytest.mark.thorough
def test_a_session_is_started_on_the_phone_and_stopped_from_today(phone: playwright.Page, bath: Bath) -> None:
    phone.goto("/")
    phone.get_by_role("link", name="Start timer").tap()
    start_session(phone, bath.skin)
    see(phone.locator(".told .done")).to_contain_text(bath.skin)
    phone.goto("/")
    phone.get_by_role("button", name="Stop").tap()
    see(phone.locator(".told .done")).to_contain_text("1 min soften")
    assert labour(phone, bath.skin, "soften") == 1


def put_in_work(page: playwright.Page) -> None:
    page.get_by_role("button", name="Add to batch", exact=True).tap()


def test_a_bath_is_put_in_work_on_the_phone(phone: playwright.Page, bath: Bath) -> None:
    phone.goto(f"/batches/{bath.number}/put-in-work/")
    put_in_work(phone)
    see(phone.locator(".told .done")).to_contain_text(f"Recorded on {bath.number}.")
    assert uses(phone, bath) == 1


def test_entries_without_a_network_wait_in_view_and_are_each_written_once_in_order(
    phone: playwright.Page, new_bath: Callable[[], Bath]
) -> None:
    first, second = new_bath(), new_bath()
    sent: list[str] = []
    phone.on("request", lambda request: sent.append(request.url) if request.method == "POST" else None)
    phone.goto("/")
    cut(phone)
    for of in (first, second):
        turn(phone, of).tap()
        see(phone.locator("#kept-last")).to_contain_text(f"Turn, {of.number}")
        see(turn(phone, of)).to_have_attribute("aria-disabled", "true")
    turn(phone, first).tap(force=True)
    see(phone.locator("#kept-told")).to_contain_text("waits already")
    see(phone.locator("#kept-count")).to_have_text("2")
    waiting(phone).locator("summary").tap()
    see(waiting(phone).locator("li")).to_have_count(2)
    sent.clear()
    join(phone)
    see(waiting(phone)).to_be_hidden()
    see(phone.locator(".told .done")).to_have_count(2)
    assert [re.findall(r"/batches/(\w+)/", url)[0] for url in sent] == [first.number, second.number]
    assert (marks(phone, first), marks(phone, second)) == (["Turn"], ["Turn"])


@pytest.mark.thorough
def test_the_moment_is_that_of_the_tap_and_not_of_the_sending(phone: playwright.Page, bath: Bath) -> None:
    bodies: list[str] = []
    phone.on("request", lambda request: bodies.append(request.post_data or "") if request.method == "POST" else None)
    phone.clock.install()
    phone.goto("/")
    cut(phone)
    tapped = phone.evaluate("Date.now()")
    turn(phone, bath).tap()
    see(waiting(phone)).to_be_visible()
    phone.clock.fast_forward("01:00:00")
    join(phone)
    see(waiting(phone)).to_be_hidden()
    moments = {re.findall(r"at=([^&]+)", body)[0] for body in bodies}
    assert len(moments) == 1, "an entry keeps its moment however often it is tried"
    (moment,) = moments
    # Reckoned here: the page is on its way to the next one by now.
    took = datetime.fromisoformat(unquote(moment)).timestamp() * 1000 - tapped
    assert 0 <= took < 60_000


@pytest.mark.thorough
def test_a_session_begun_and_ended_without_a_network_is_logged_once(phone: playwright.Page, bath: Bath) -> None:
    phone.goto("/sittings/")
    cut(phone)
    start_session(phone, bath.skin)
    see(phone.locator("#kept-last")).to_contain_text(bath.skin)
    phone.get_by_role("button", name="Stop").tap()
    see(phone.locator("#kept-count")).to_have_text("2")
    join(phone)
    see(waiting(phone)).to_be_hidden()
    see(phone.locator(".told")).to_contain_text("1 min soften")
    see(phone.get_by_role("heading", name="No timer is running")).to_be_visible()
    assert labour(phone, bath.skin, "soften") == 1


@pytest.mark.thorough
def test_a_bath_put_in_work_without_a_network_is_written_once(phone: playwright.Page, bath: Bath) -> None:
    phone.goto(f"/batches/{bath.number}/put-in-work/")
    cut(phone)
    put_in_work(phone)
    see(phone.locator("#kept-last")).to_contain_text(bath.number)
    join(phone)
    see(waiting(phone)).to_be_hidden()
    see(phone.locator(".told")).to_contain_text(f"Recorded on {bath.number}.")
    assert uses(phone, bath) == 1


@pytest.mark.thorough
def test_a_page_closed_while_entries_wait_loses_none(phone: playwright.Page, bath: Bath) -> None:
    phone.goto("/")
    cut(phone)
    turn(phone, bath).tap()
    see(waiting(phone)).to_be_visible()
    with pytest.raises(playwright.Error, match="ERR_INTERNET_DISCONNECTED"):
        phone.reload()
    phone.close()
    join(phone)
    again = phone.context.new_page()
    again.goto("/books/")
    see(again.locator(".told .done")).to_contain_text(f"Turn, {bath.number}")
    assert marks(again, bath) == ["Turn"]


@pytest.mark.thorough
def test_an_answer_lost_on_the_way_back_writes_nothing_twice(phone: playwright.Page, bath: Bath) -> None:
    phone.goto("/")

    def lose(route: playwright.Route) -> None:
        route.fetch()
        route.abort()

    phone.route("**/log/", lose)
    turn(phone, bath).tap()
    see(waiting(phone)).to_be_visible()
    phone.unroute("**/log/")
    assert marks(phone, bath) == ["Turn"], "the books have it, only the phone does not know"
    phone.get_by_role("button", name="Send now").tap()
    see(waiting(phone)).to_be_hidden()
    see(phone.locator(".told .done").first).to_contain_text(f"Turn, {bath.number}")
    assert marks(phone, bath) == ["Turn"]


@pytest.mark.thorough
@pytest.mark.parametrize("locks", [True, False], ids=["with the browser's lock", "on a plain address without it"])
def test_what_two_tabs_send_is_written_once(phone: playwright.Page, bath: Bath, locks: bool) -> None:
    if not locks:
        phone.context.add_init_script("Object.defineProperty(navigator, 'locks', { value: undefined })")
    other = phone.context.new_page()
    for page in (phone, other):
        page.goto("/")
    cut(phone)
    turn(phone, bath).tap()
    see(waiting(other)).to_be_visible()
    join(phone)
    see(waiting(phone)).to_be_hidden()
    see(waiting(other)).to_be_hidden()
    assert marks(phone, bath) == ["Turn"]


def conflict(phone: playwright.Page, bath: Bath) -> None:
    """The phone logs the end of the bath without a network, while another device has logged it."""
    phone.goto(f"{bath.log}?kind=done")
    cut(phone)
    phone.get_by_label("Why it is left out").fill("none left")
    phone.get_by_label("Note").fill("from the shed")
    phone.get_by_role("button", name="Done", exact=True).tap()
    see(waiting(phone)).to_be_visible()
    post(phone, bath.log, kind="done", on=TODAY, note="from the desk", without="none left")
    join(phone)
    see(phone.locator("#not-taken")).to_be_visible()


def test_a_conflict_keeps_both_and_says_so(phone: playwright.Page, bath: Bath) -> None:
    conflict(phone, bath)
    told = phone.locator("#not-taken")
    see(told).to_contain_text("Not taken: both are kept")
    see(told).to_contain_text(bath.number)
    see(told).to_contain_text("it was done on")
    assert marks(phone, bath) == ["Done"]
    told.get_by_role("link", name="What the books have").tap()
    see(phone.get_by_text("from the desk")).to_have_count(1)
    see(phone.locator("#not-taken")).to_be_visible()
    phone.once("dialog", lambda asked: asked.dismiss())
    phone.get_by_role("button", name="Drop mine").tap()
    see(phone.locator("#not-taken li")).to_have_count(1)
    phone.once("dialog", lambda asked: asked.accept())
    phone.get_by_role("button", name="Drop mine").tap()
    see(phone.locator("#not-taken")).to_be_hidden()
    assert marks(phone, bath) == ["Done"]


@pytest.mark.thorough
def test_what_was_not_taken_can_be_sent_again_when_the_way_is_free(phone: playwright.Page, bath: Bath) -> None:
    conflict(phone, bath)
    steps = phone.request.get(f"/batches/{bath.number}/steps/").text()
    (mark,) = re.findall(r'/marks/(\d+)/take-back/"[^>]*>\s*Reverse\s*<span class="sr">\s*the entry of 31 Dec', steps)
    post(phone, f"/marks/{mark}/take-back/")
    phone.get_by_role("button", name="Send again").tap()
    see(phone.locator(".told .done", has_text=f"Take out, {bath.number}")).to_be_visible()
    see(phone.locator("#not-taken")).to_be_hidden()
    see(phone.get_by_text("from the shed")).to_have_count(0)
    assert marks(phone, bath) == ["Done", "Done"], "one taken back, one that stands"


@pytest.mark.thorough
def test_with_a_network_a_refusal_meets_its_form_and_nothing_waits(phone: playwright.Page, bath: Bath) -> None:
    phone.goto(f"{bath.log}?kind=repeat")
    phone.get_by_label("Minutes").fill("many")
    phone.get_by_role("button", name="Log it", exact=True).tap()
    see(phone.locator(".field.wrong")).to_contain_text("is not a figure")
    see(waiting(phone)).to_be_hidden()
    see(phone.locator("#not-taken")).to_be_hidden()
    assert marks(phone, bath) == []


@pytest.mark.thorough
def test_signed_out_entries_wait_for_the_one_who_made_them(fresh: Workshop, phone: playwright.Page, bath: Bath) -> None:
    phone.goto("/")
    cut(phone)
    turn(phone, bath).tap()
    see(waiting(phone)).to_be_visible()
    ours = phone.context.cookies()
    phone.context.clear_cookies(name="sessionid")
    join(phone)
    see(phone.locator("#kept-last")).to_contain_text("Sign in, then it is sent.")
    phone.goto("/sign-in/")
    see(phone.locator("#kept-others")).to_contain_text("wait on this device: 1.")
    assert phone.locator("body").get_attribute("data-person") is None
    phone.context.add_cookies(ours)
    phone.goto("/")
    see(phone.locator(".told .done")).to_contain_text(f"Turn, {bath.number}")
    assert marks(phone, bath) == ["Turn"]


@pytest.mark.thorough
def test_nobody_sends_the_entries_of_another(phone: playwright.Page, bath: Bath) -> None:
    phone.goto("/")
    theirs = [{"key": "theirs", "action": bath.log, "fields": [["kind", "repeat"], ["request_key", "theirs"]],
               "words": "Turn", "page": "/", "at": f"{TODAY}T08:00:00Z", "state": "waiting", "tried": True}]  # fmt: skip
    phone.evaluate("list => localStorage.setItem('tawery-kept:someone', JSON.stringify(list))", theirs)
    phone.reload()
    see(phone.locator("#kept-others")).to_contain_text("1")
    see(waiting(phone)).to_be_hidden()
    assert marks(phone, bath) == []
    phone.evaluate("localStorage.clear()")


@pytest.mark.thorough
def test_who_signs_out_with_entries_waiting_is_told(phone: playwright.Page, bath: Bath) -> None:
    phone.goto("/")
    cut(phone)
    turn(phone, bath).tap()
    see(waiting(phone)).to_be_visible()
    asked: list[str] = []
    phone.once("dialog", lambda dialog: (asked.append(dialog.message), dialog.dismiss()))
    phone.get_by_label("Menu of").tap()
    phone.get_by_role("button", name="Sign out").tap()
    assert asked == [
        "Entries not in the books yet: 1. They stay on this device and are sent when you sign in here again. Sign out now?"
    ]
    see(turn(phone, bath)).to_be_visible()
    join(phone)
    see(waiting(phone)).to_be_hidden()


@pytest.mark.thorough
def test_a_device_that_keeps_nothing_says_so_and_the_form_stays(phone: playwright.Page, bath: Bath) -> None:
    phone.goto(f"{bath.log}?kind=repeat")
    phone.evaluate(
        "() => { Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); }; }"
    )
    cut(phone)
    phone.get_by_label("Note").fill("all folds open")
    phone.get_by_role("button", name="Log it", exact=True).tap()
    see(phone.locator(".kept-note")).to_contain_text("this device keeps nothing for later")
    see(phone.get_by_label("Note")).to_have_value("all folds open")
    join(phone)
    phone.get_by_role("button", name="Log it", exact=True).tap()
    see(phone.locator(".told .done")).to_contain_text(f"Turn, {bath.number}")
    assert marks(phone, bath) == ["Turn"]


@pytest.mark.thorough
def test_a_photo_does_not_wait_and_the_form_stays(phone: playwright.Page, bath: Bath) -> None:
    phone.goto(f"/batches/{bath.number}/read/")
    cut(phone)
    phone.locator("#id_ph").fill("3,9")
    phone.locator("#id_photo").set_input_files({"name": "bath.jpg", "mimeType": "image/jpeg", "buffer": b"not sent"})
    phone.locator("form.form button.btn").first.tap()
    see(phone.locator(".kept-note")).to_contain_text("a photo cannot wait")
    see(phone.locator("#id_ph")).to_have_value("3,9")
    phone.locator("#id_photo").set_input_files([])
    phone.locator("form.form button.btn").first.tap()
    see(waiting(phone)).to_be_visible()
    see(phone.locator("#id_ph")).to_have_value("")
    join(phone)
    see(waiting(phone)).to_be_hidden()
    assert phone.request.get(f"/batches/{bath.number}/").text().count("3.9") == 1


@pytest.mark.thorough
def test_an_unreachable_server_is_tried_again_and_a_fault_of_it_blocks_nobody(
    phone: playwright.Page, new_bath: Callable[[], Bath]
) -> None:
    first, second = new_bath(), new_bath()
    phone.goto("/")
    phone.route("**/log/", lambda route: route.fulfill(status=503, body="down"))
    turn(phone, first).tap()
    see(phone.locator("#kept-last")).to_have_text("The books could not be reached (503).")
    phone.unroute("**/log/")
    phone.route(f"**/{first.number}/**/log/", lambda route: route.fulfill(status=500, body="fault"))
    turn(phone, second).tap()
    see(phone.locator("#not-taken")).to_contain_text("The program made a fault")
    see(phone.locator(".told .done")).to_contain_text(f"Turn, {second.number}")
    assert (marks(phone, first), marks(phone, second)) == ([], ["Turn"])


@pytest.mark.thorough
def test_on_a_full_disk_the_entry_waits_with_the_true_reason_and_is_written_when_there_is_room(
    phone: playwright.Page, bath: Bath
) -> None:
    why = "The disk is full. Free some room on the machine that keeps the books, then send it again."
    phone.goto("/")
    phone.route("**/log/", lambda route: route.fulfill(status=503, json={"state": "waiting", "why": why}))
    turn(phone, bath).tap()
    see(phone.locator("#kept-last")).to_have_text(why)
    see(phone.locator("#not-taken")).to_be_hidden()
    assert marks(phone, bath) == []
    phone.unroute("**/log/")
    phone.get_by_role("button", name="Send now").tap()
    see(waiting(phone)).to_be_hidden()
    assert marks(phone, bath) == ["Turn"]


@pytest.mark.thorough
def test_without_javascript_a_tap_is_logged_all_the_same(fresh: Workshop, phone: playwright.Page, bath: Bath) -> None:
    plain = fresh.page(java_script_enabled=False, **PHONE)
    plain.goto("/")
    turn(plain, bath).tap()
    see(plain.locator(".told .done")).to_contain_text(f"Turn, {bath.number}")
    plain.get_by_role("button", name="Undo").tap()
    see(plain.locator(".told .done")).to_contain_text("The entry is undone")


BIG: Callable[[playwright.Page], list[str]] = lambda page: page.evaluate(  # noqa: E731
    """() => [...document.querySelectorAll("button, summary, .btn, a.tag, .rooms a, input:not([type=hidden]), select")]
      .filter((thing) => thing.offsetParent && !thing.matches(".skip"))
      .map((thing) => [thing.outerHTML.slice(0, 90), (thing.closest("label") ?? thing).getBoundingClientRect()])
      .filter(([, box]) => box.height < 57 || box.width < 57)
      .map(([said, box]) => `${box.width.toFixed(0)} × ${box.height.toFixed(0)}: ${said}`)"""
)


def test_on_today_every_target_is_15_mm(phone: playwright.Page, bath: Bath) -> None:
    # 15 mm at 96 CSS pixels to the inch is 57 px.
    phone.goto("/")
    cut(phone)
    turn(phone, bath).tap()
    waiting(phone).locator("summary").tap()
    phone.locator("header details summary").tap()
    assert BIG(phone) == []
    join(phone)
    see(waiting(phone)).to_be_hidden()


def test_the_steps_of_a_batch_serve_thumb_keyboard_and_reader(fresh: Workshop, bath: Bath) -> None:
    """Of the looks that a thorough run takes at every page, one."""
    page = fresh.page(**STILL)
    page.goto(f"/batches/{bath.number}/steps/")
    assert looked_at(page) == []


@pytest.mark.thorough
def test_what_waits_is_disarmed_on_every_page_until_something_else_is_typed(phone: playwright.Page, bath: Bath) -> None:
    """The planned bath is not put in twice, from the same page or from another that still shows it; another amount is."""
    pour = f"/batches/{bath.number}/put-in-work/"
    phone.goto(pour)
    cut(phone)
    put_in_work(phone)
    see(waiting(phone)).to_be_visible()
    button = phone.get_by_role("button", name="Add to batch", exact=True)
    see(button).to_have_attribute("aria-disabled", "true")
    button.tap(force=True)
    see(phone.locator("#kept-count")).to_have_text("1")
    phone.route("**/*", lambda route: route.abort() if route.request.method == "POST" else route.continue_())
    join(phone)
    phone.goto(pour)
    see(button).to_have_attribute("aria-disabled", "true")
    phone.get_by_label("Note").fill("a second bucket")
    see(button).not_to_have_attribute("aria-disabled", "true")
    phone.unroute("**/*")
    phone.get_by_role("button", name="Send now").tap()
    see(waiting(phone)).to_be_hidden()


def weighings(page: playwright.Page, of: Bath) -> int:
    return page.request.get(f"/skins/{of.skin}/").text().count("/readings/")


def weigh(page: playwright.Page, kilos: str) -> None:
    page.get_by_label("Weight (optional)").fill(kilos)
    page.get_by_role("button", name="Save reading").tap()


def test_an_odd_weight_is_asked_about_and_answered_by_one_tap(phone: playwright.Page, bath: Bath) -> None:
    phone.goto(f"/skins/{bath.skin}/read/")
    weigh(phone, "5")
    see(phone.locator(".told .done")).to_be_visible()
    before = weighings(phone, bath)
    phone.goto(f"/skins/{bath.skin}/read/")
    weigh(phone, "22")
    see(phone.get_by_text(f"22 kg is entered for {bath.skin}, which weighed 5 kg")).to_be_visible()
    assert weighings(phone, bath) == before
    phone.get_by_role("link", name="Change it").tap()
    see(phone.get_by_label("Weight (optional)")).to_be_focused()
    phone.get_by_role("button", name="Keep it").tap()
    see(phone.locator(".told .done")).to_be_visible()
    assert weighings(phone, bath) > before
    see(waiting(phone)).to_be_hidden()
    see(phone.locator("#not-taken")).to_be_hidden()


@pytest.mark.thorough
def test_an_odd_weight_that_waited_for_a_signal_is_kept_and_marked(phone: playwright.Page, bath: Bath) -> None:
    phone.goto(f"/skins/{bath.skin}/read/")
    weigh(phone, "5")
    see(phone.locator(".told .done")).to_be_visible()
    before = weighings(phone, bath)
    phone.goto(f"/skins/{bath.skin}/read/")
    cut(phone)
    weigh(phone, "22")
    see(waiting(phone)).to_be_visible()
    join(phone)
    see(waiting(phone)).to_be_hidden()
    see(phone.locator(".told .look")).to_contain_text(f"it is kept as you entered it: 22 kg is entered for {bath.skin}")
    assert weighings(phone, bath) > before


@pytest.mark.thorough
def test_an_odd_weight_whose_question_came_too_late_stays_on_the_device_and_is_kept_when_sent_again(
    phone: playwright.Page, bath: Bath
) -> None:
    phone.goto(f"/skins/{bath.skin}/read/")
    weigh(phone, "5")
    see(phone.locator(".told .done")).to_be_visible()
    before = weighings(phone, bath)
    phone.goto(f"/skins/{bath.skin}/read/")
    phone.route("**/read/", lambda route: (phone.wait_for_timeout(4000), route.continue_()))
    weigh(phone, "22")
    see(phone.locator("#not-taken")).to_contain_text(f"22 kg is entered for {bath.skin}")
    phone.unroute("**/read/")
    phone.get_by_role("button", name="Send again").tap()
    see(phone.locator("#not-taken")).to_be_hidden()
    see(waiting(phone)).to_be_hidden()
    assert weighings(phone, bath) > before
