"""What no database can hold or search for ends at one place, as a page in plain words, before any view reads it."""

from __future__ import annotations

import pytest
from django.contrib.auth.models import User
from django.test import Client

from inventory.models import Skin, Supplier
from tests.inventory.pages import text
from workshop.sent import LONGEST

pytestmark = [pytest.mark.usefixtures("demo", "type_is_cut")]

SEARCHES = [
    "/search/?q=",
    "/skins/?words=",
    "/sales/?words=",
    "/print/care/?words=",
    "/sales/new/?find=",
    "/batches/?words=",
    "/articles/?words=",
    "/jobs/?words=",
    "/books/?month=",
]


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("path", SEARCHES)
def test_sixty_thousand_letters_are_refused_in_words(client: Client, path: str) -> None:
    """The embedded database looks for 50,000 bytes at most; four such letters in a search were a fault."""
    for letters in ("x" * 60_000, "💥" * 12_501):
        answer = client.get(path + letters)
        assert answer.status_code == 400
        assert f"characters; {LONGEST:,} are the most." in text(answer)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("path", SEARCHES)
def test_the_longest_that_is_let_through_is_no_fault(client: Client, path: str) -> None:
    for letters in ("%25" * LONGEST, "💥" * LONGEST, "a+" * (LONGEST // 2)):
        assert client.get(path + letters, follow=True).status_code < 500


@pytest.mark.parametrize("sign", ["%00", "%07", "%1B", "%7F", "%C2%85"])
def test_a_control_character_in_an_address_is_refused_in_words(client: Client, sign: str) -> None:
    answer = client.get(f"/search/?q=a{sign}b")
    assert answer.status_code == 400
    assert "“q” holds a control character" in text(answer)
    assert client.get(f"/search/?a{sign}b=1").status_code == 400
    assert client.get(f"/photos/a{sign}b").status_code == 400


@pytest.mark.parametrize(
    ("path", "field"),
    [("/setup/zone/", "zone"), ("/light/", "next"), ("/skins/new/", "species"), ("/sign-in/", "username")],
)
def test_a_nul_in_a_form_is_refused_in_words_and_writes_nothing(client: Client, path: str, field: str) -> None:
    """On PostgreSQL a NUL in a query is a fault; on SQLite it was quietly kept."""
    before = Skin.objects.count()
    answer = client.post(path, {field: "a\x00b", "request_key": "k1"})
    assert answer.status_code == 400
    assert f"“{field}” holds a control character" in text(answer)
    assert Skin.objects.count() == before


def test_another_control_character_in_a_form_is_said_beside_its_box(client: Client) -> None:
    answer = client.post("/customers/new/", {"name": "Sheep\x0bfold", "request_key": "k1"})
    assert answer.status_code == 200
    assert "control character" in text(answer)


def test_line_ends_and_signs_of_every_script_are_let_through(client: Client) -> None:
    answer = client.get("/search/", {"q": "a\tb\r\nc 👩‍👩‍👧 שלום \u202e e\u0301"})
    assert answer.status_code == 200


def test_an_entry_that_waits_on_a_device_is_told_so_in_few_words(client: Client) -> None:
    answer = client.post("/skins/new/", {"species": "a\x00"}, headers={"X-Kept": "waited"})
    assert answer.status_code == 422
    assert answer.json()["state"] == "refused"
    assert "control character" in answer.json()["errors"][0]


@pytest.mark.parametrize("value", ['"abcdefgh\\000ijkl"', "abcdefgh\x7fijkl"])
def test_a_cookie_that_no_database_can_look_up_counts_as_none(value: str, demo: None) -> None:
    """The session is looked up by its cookie before anybody is signed in: a stranger's NUL was a fault on PostgreSQL."""
    answer = Client().get("/skins/", headers={"cookie": f"sessionid={value}; light=dark"})
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in/")


def test_a_header_with_a_nul_counts_as_not_sent(owner: User) -> None:
    odd = {"HTTP_USER_AGENT": "a\x00b", "HTTP_REFERER": "\x00"}
    answer = Client().post("/sign-in/", {"username": "owner", "password": "wrong"}, **odd)
    assert answer.status_code == 200


def test_a_number_that_no_column_holds_is_not_found(client: Client) -> None:
    for path in (
        "/suppliers/99999999999999999999/",
        "/postings/" + "9" * 5000 + "/",
        "/reminders/" + "9" * 30 + "/letter.pdf",
    ):
        assert client.get(path).status_code == 404
    assert Supplier.objects.exists()
