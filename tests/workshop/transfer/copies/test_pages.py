"""The page of copies, and what Today says of them: the owner's alone."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from django.test import Client
from django.utils import timezone

from tests.factories import person
from tests.inventory.pages import queries, signed_in, text
from tests.workshop.transfer.copies.conftest import copied, names
from workshop.transfer.copies import shelf

pytestmark = pytest.mark.usefixtures("demo", "place")


def test_a_copy_is_made_listed_and_fetched(client: Client) -> None:
    assert "None yet." in text(client.get("/setup/copies/"))
    page = text(client.post("/setup/copies/new/", follow=True))
    assert "and read back" in page
    (row,) = shelf.listed()
    assert row.megabytes in page
    answer = client.get(f"/setup/copies/{row.stamp}.zip")
    assert answer["Content-Disposition"] == f'attachment; filename="{row.file.name}"'
    assert answer["Cache-Control"] == "private, no-store"
    assert b"".join(answer.streaming_content) == row.file.read_bytes()
    assert names(row.file)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize(("sender", "counts"), [("127.0.0.1", False), ("::1", False), ("192.0.2.7", True), ("", False)])
def test_fetched_by_another_device_it_lies_on_another_disk(
    client: Client, place: Path, sender: str, counts: bool
) -> None:
    made = copied(place)
    path = f"/setup/copies/{shelf.listed()[0].stamp}.zip"
    assert client.head(path, REMOTE_ADDR="192.0.2.7").status_code == 405
    assert shelf.known().away is None
    assert b"".join(client.get(path, REMOTE_ADDR=sender).streaming_content)
    assert shelf.known().away == (made.made.replace(microsecond=0) if counts else None)


def test_a_copy_that_is_not_there_is_not_found(client: Client, place: Path) -> None:
    for stamp in ("2020-01-01-000000", "copies", "x"):
        assert client.get(f"/setup/copies/{stamp}.zip").status_code == 404


def test_the_maker_s_word_that_one_lies_elsewhere_is_kept(client: Client, place: Path) -> None:
    assert "There is no copy yet" in text(client.post("/setup/copies/elsewhere/", follow=True))
    copied(place)
    assert "Noted: the newest copy" in text(client.post("/setup/copies/elsewhere/", follow=True))
    assert shelf.known().away


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_copies_are_the_owner_s(role: str, place: Path) -> None:
    copied(place)
    other = signed_in(person(role))
    path = f"/setup/copies/{shelf.listed()[0].stamp}.zip"
    assert [other.get(each).status_code for each in ("/setup/copies/", path)] == [403, 403]
    assert [other.post(each).status_code for each in ("/setup/copies/new/", "/setup/copies/elsewhere/")] == [403, 403]
    assert "/setup/copies/" not in text(other.get("/"))
    assert len(shelf.listed()) == 1


def test_today_asks_the_owner_for_a_copy_until_one_is_there(client: Client, place: Path) -> None:
    before = queries(client, "/")
    page = text(client.get("/"))
    assert 'No copy of this workshop is kept yet. <a href="/setup/copies/">See the copies.</a>' in page
    shelf.begin()
    copied(place)
    assert "/setup/copies/" not in text(client.get("/"))
    assert queries(client, "/") == before


def test_today_says_that_the_last_copy_is_old(client: Client, place: Path) -> None:
    shelf.note_good(place / "x", timezone.now() - timedelta(days=9, hours=1))
    assert "The last good copy is 9 days old." in text(client.get("/"))
