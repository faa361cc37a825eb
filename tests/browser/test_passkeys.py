"""A passkey in a real browser: a device made of software adds one and signs in, under the strict content policy."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.browser.conftest import DESK, PHONE, Workshop, playwright
from tests.browser.test_browser import listed
from tests.browser.walking import STILL, looked_at

pytestmark = [pytest.mark.browser, pytest.mark.slow]

PASSWORD, BUTTON = "seven quiet alder trees", "Sign in with a passkey"
DEVICE = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


@pytest.fixture(scope="module", autouse=True)
def password(workshop: Workshop) -> None:
    """The owner's: a test that signs out must not end the sign-in of the others."""
    page = workshop.page()
    page.goto("/setup/password/")
    page.get_by_label("New password").fill(PASSWORD)
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/")
    workshop.session = {"cookies": [], "origins": []}


class Person:
    """The owner before a browser of their own, with a device that Chromium plays for the page."""

    def __init__(self, fresh: Workshop, size: dict[str, object]) -> None:
        self.page = fresh.page(**size)
        self.tools = self.page.context.new_cdp_session(self.page)
        self.tools.send("WebAuthn.enable")
        made = self.tools.send("WebAuthn.addVirtualAuthenticator", {"options": DEVICE})
        self.device = {"authenticatorId": made["authenticatorId"]}
        self.page.goto("/sign-in/")
        self.page.get_by_label("Username").fill("owner")
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.get_by_role("button", name="Sign in", exact=True).click()
        self.page.wait_for_url(f"{fresh.home}/")

    def press(self, button: str) -> None:
        self.page.get_by_role("button", name=button, exact=True).click()

    def begin(self, name: str) -> None:
        self.page.goto("/setup/passkeys/")
        self.page.get_by_label("What the passkey is called").fill(name)
        self.press("Go on")
        self.page.wait_for_url("**/setup/passkeys/new/")

    def add(self, name: str) -> None:
        self.begin(name)
        self.press("Make the passkey")
        playwright.expect(self.page.get_by_text(f"The passkey “{name}” opens from now on.")).to_be_visible()

    def remove(self, name: str) -> None:
        self.page.goto("/setup/passkeys/")
        self.page.get_by_role("link", name=f"Remove {name}").click()
        self.press("Remove")
        playwright.expect(self.page.get_by_text("The passkey is removed.")).to_be_visible()

    def sign_out(self) -> None:
        self.page.get_by_label("Menu of owner").click()
        self.press("Sign out")
        self.page.wait_for_url("**/sign-in/")


@pytest.fixture
def person(fresh: Workshop) -> Iterator[Person]:
    """With one passkey, which is removed at the end."""
    found = Person(fresh, PHONE)
    found.add("My phone")
    yield found
    found.remove("My phone")


def test_a_device_adds_a_passkey_signs_in_by_it_and_not_once_it_is_removed(fresh: Workshop) -> None:
    here, elsewhere = Person(fresh, PHONE), Person(fresh, DESK)
    here.add("My phone")
    kept = here.tools.send("WebAuthn.getCredentials", here.device)["credentials"]
    assert [(each["isResidentCredential"], each["rpId"]) for each in kept] == [(True, "localhost")]
    for _ in range(2):
        here.sign_out()
        here.press(BUTTON)
        here.page.wait_for_url(f"{fresh.home}/")
        playwright.expect(here.page.get_by_label("Menu of owner")).to_be_visible()
    here.page.goto("/setup/passkeys/")
    playwright.expect(here.page.get_by_text("not yet")).to_have_count(0)
    here.sign_out()
    elsewhere.add("The other")
    elsewhere.remove("My phone")
    here.press(BUTTON)
    playwright.expect(here.page.get_by_text("No passkey opened.")).to_be_visible()
    elsewhere.remove("The other")
    assert fresh.told == []


def test_a_device_that_makes_none_leaves_the_page_as_it_was_and_says_why(fresh: Workshop, person: Person) -> None:
    said = person.page.get_by_role("alert")
    person.begin("A second one")
    person.press("Make the passkey")
    playwright.expect(said).to_have_text("This device holds a passkey of yours already.")
    person.tools.send("WebAuthn.clearCredentials", person.device)
    person.tools.send("WebAuthn.setUserVerified", {**person.device, "isUserVerified": False})
    person.press("Make the passkey")
    playwright.expect(said).to_contain_text("The device gave no passkey")
    assert fresh.told == []


def test_where_the_browser_cannot_there_is_no_button(fresh: Workshop, person: Person) -> None:
    for scripts in (False, True):
        page = fresh.page(java_script_enabled=scripts, **PHONE)
        page.add_init_script("delete window.PublicKeyCredential")
        page.goto("/sign-in/")
        playwright.expect(page.get_by_role("button", name="Sign in", exact=True)).to_be_visible()
        playwright.expect(page.get_by_role("button", name=BUTTON)).to_have_count(0)
    assert fresh.told == []


def test_the_pages_serve_thumb_keyboard_and_reader(fresh: Workshop, person: Person) -> None:
    owner = Person(fresh, STILL)
    owner.page.goto("/setup/passkeys/")
    wrong = {"one's own": looked_at(owner.page)}
    owner.begin("A second one, its name as long as it may")
    wrong["making one"] = looked_at(owner.page)
    owner.sign_out()
    playwright.expect(owner.page.get_by_role("button", name=BUTTON)).to_be_visible()
    wrong["the door"] = looked_at(owner.page)
    assert not any(wrong.values()), listed(wrong)
