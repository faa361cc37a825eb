"""Making and looking at copies: complete, while others write, found good before they count, and kept by age."""

from __future__ import annotations

import json
import os
import sqlite3
import stat
from contextlib import closing
from datetime import timedelta
from functools import partial
from pathlib import Path

import pytest
from django.contrib.sessions.models import Session
from django.db import connection
from django.utils import timezone
from pytest_django import Settings

from inventory.errors import NotAllowed, Refused
from inventory.models import Skin
from tests.factories import person
from tests.inventory.pages import signed_in
from tests.workshop.transfer.copies.conftest import BILL, PHOTO, copied, names
from workshop.transfer.copies import archive, databases, rules, services, shelf

sqlite_only = pytest.mark.skipif(connection.vendor != "sqlite", reason="looks into the SQLite file of a copy")


def test_a_copy_holds_database_photos_bills_and_key_and_is_known_as_good(demo: None, place: Path) -> None:
    (place / "photos" / ".DS_Store").write_text("not ours")
    made = copied(place)
    assert names(made.file) == {databases.kind(), PHOTO, BILL, "secret.key"}
    assert stat.S_IMODE(made.file.stat().st_mode) == 0o600
    assert stat.S_IMODE(made.file.parent.stat().st_mode) == 0o700
    assert [path.name for path in made.file.parent.iterdir()] == [made.file.name]
    (row,) = shelf.listed()
    assert row.verified
    assert row.made == made.made.replace(microsecond=0)
    assert shelf.known().last == made.made


@sqlite_only
def test_a_copy_has_every_row(demo: None, place: Path, tmp_path: Path) -> None:
    with archive.opened(copied(place).file) as copy:
        (tmp_path / "out").mkdir()
        copy.unpack(tmp_path / "out")
        assert copy.manifest.rows["inventory_skin"] == Skin.objects.count()
    with closing(sqlite3.connect(tmp_path / "out" / archive.SQLITE)) as opened:
        assert opened.execute("SELECT count(*) FROM inventory_skin").fetchone() == (Skin.objects.count(),)


@sqlite_only
def test_a_copy_opens_no_door_of_the_workshop_that_goes_on(demo: None, place: Path, tmp_path: Path) -> None:
    """Whoever finds the disk with the copies must not get in by somebody's open sign-in."""
    key = signed_in().session.session_key
    assert Session.objects.filter(pk=key).exists()
    (tmp_path / "out").mkdir()
    with archive.opened(copied(place).file) as copy:
        copy.unpack(tmp_path / "out")
        assert copy.manifest.rows["django_session"] == 0
    assert key.encode() not in (tmp_path / "out" / archive.SQLITE).read_bytes()
    assert Session.objects.filter(pk=key).exists()


def test_a_copy_can_go_to_a_folder_or_a_new_file_and_overwrites_nothing(
    demo: None, place: Path, tmp_path: Path
) -> None:
    stick = tmp_path / "stick"
    stick.mkdir()
    assert rules.made_at(services.make(target=stick).file.name)
    assert services.make(target=stick / "mine.zip").file == stick / "mine.zip"
    (stick / "thesis.txt").write_text("mine")
    with pytest.raises(Refused, match="nothing is overwritten"):
        services.make(target=stick / "thesis.txt")
    with pytest.raises(Refused, match="There is no folder"):
        services.make(target=tmp_path / "nowhere" / "copy.zip")
    assert (stick / "thesis.txt").read_text() == "mine"
    assert len(list(stick.iterdir())) == 3


def test_a_disk_that_will_not_take_it_is_refused_and_nothing_stays(
    demo: None, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(archive.aside, "sync", full)
    with pytest.raises(Refused, match=r"No space left on device\. Free some room"):
        services.make()
    assert list((place / "copies").iterdir()) == []
    assert shelf.known().last is None


def test_a_copy_that_cannot_be_read_back_is_none(demo: None, place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive.Copy, "look", lambda self: (_ for _ in ()).throw(Refused("worn out")))
    with pytest.raises(Refused, match="worn out"):
        services.make()
    assert shelf.listed() == []
    assert shelf.known().last is None


def test_the_daily_copy_is_made_once_a_day(demo: None, place: Path) -> None:
    assert services.make_daily()
    assert services.make_daily() is None
    assert len(shelf.listed()) == 1


def test_old_copies_go_by_their_age_and_strange_files_stay(demo: None, place: Path) -> None:
    folder = shelf.folder()
    folder.mkdir()
    now = timezone.now()
    for back in range(1, 60):
        (folder / rules.name(now - timedelta(days=back))).write_bytes(b"old")
    (folder / "letter.txt").write_text("mine")
    services.make()
    assert len(shelf.listed()) == len(rules.kept(now - timedelta(days=back) for back in range(60)))
    assert (folder / "letter.txt").exists()


def test_only_the_owner_copies(demo: None, place: Path) -> None:
    asked = services.make, services.say_elsewhere, partial(services.verify, place)
    for role in ("helper", "bookkeeper"):
        for act in asked:
            with pytest.raises(NotAllowed):
                act(by=person(role))
    assert not (place / "copies").exists()


def test_a_folder_on_another_disk_counts_as_elsewhere(
    demo: None, place: Path, tmp_path: Path, settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.COPIES_DIR = tmp_path / "stick"
    services.make()
    assert shelf.known().away is None
    monkeypatch.setattr(shelf, "on_another_disk", lambda file: tmp_path / "stick" in file.parents)
    made = services.make(target=tmp_path / "stick" / "second.zip")
    assert shelf.known().away == made.made


def test_what_is_known_of_copies_survives_a_damaged_note(demo: None, place: Path) -> None:
    for text in ("", "[]", "{", json.dumps({"last": 3, "away": "yesterday", "verified": [], "begun": "2026-01-01"})):
        (place / shelf.STATE).write_text(text)
        assert shelf.known() == rules.Known()
        assert shelf.listed() == []
    services.make()
    assert shelf.known().last


@pytest.mark.thorough
@pytest.mark.slow
@sqlite_only
def test_verifying_works_the_books_out_and_changes_nothing(demo: None, place: Path) -> None:
    file = copied(place).file
    held, there = file.read_bytes(), sorted(place.rglob("*"))
    assert services.verify(file).rows["inventory_skin"] == Skin.objects.count()
    assert (file.read_bytes(), sorted(place.rglob("*"))) == (held, there)


@pytest.mark.thorough
@pytest.mark.slow
@sqlite_only
def test_a_copy_whose_books_do_not_agree_is_refused(demo: None, place: Path) -> None:
    with connection.cursor() as cursor:
        cursor.execute("UPDATE inventory_material SET value = value + 100 WHERE code = 'ALUMK'")
    file = services.make().file
    with pytest.raises(Refused, match=r"do not agree, in \d+ places \(.*ALUMK"):
        services.verify(file)


@sqlite_only
def test_rows_that_the_manifest_does_not_tell_are_refused(demo: None, place: Path, tmp_path: Path) -> None:
    file = tmp_path / archive.SQLITE
    rows = databases.take(file)
    databases.look_at(file, rows)
    with pytest.raises(Refused, match="other rows than its manifest says"):
        databases.look_at(file, {**rows, "inventory_skin": 0})
    os.truncate(file, file.stat().st_size // 2)
    with pytest.raises(Refused, match="damaged"):
        databases.look_at(file, rows)
