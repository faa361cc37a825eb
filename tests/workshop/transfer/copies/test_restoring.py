"""Putting a copy back: the whole of it or nothing, what stood there beside it, and no way into other folders."""

from __future__ import annotations

import sqlite3
from contextlib import AbstractContextManager, closing
from decimal import Decimal
from pathlib import Path

import pytest
from django.db import connection

from inventory.errors import NotAllowed, Refused
from inventory.models import Material, Skin
from tests.factories import person
from tests.workshop.transfer.copies.conftest import KEY, PHOTO, copied, fill
from tests.workshop.transfer.copies.managing import manage
from workshop.transfer import aside
from workshop.transfer.copies import archive, databases, restoring, services
from workshop.transfer.copies.restoring import restore

pytestmark = pytest.mark.skipif(
    connection.vendor != "sqlite", reason="the SQLite way; PostgreSQL's is in test_postgresql"
)


def stands(place: Path, word: str) -> None:
    """As if it were another time: other pictures, and a database that is not the tests'."""
    fill(place, word)
    (place / archive.SQLITE).unlink(missing_ok=True)
    with closing(sqlite3.connect(place / archive.SQLITE)) as made:
        made.execute("CREATE TABLE word AS SELECT ? AS word", [word])
        made.commit()


def skins(place: Path) -> int:
    with closing(sqlite3.connect(place / archive.SQLITE)) as opened:
        return int(opened.execute("SELECT count(*) FROM inventory_skin").fetchone()[0])


def test_a_copy_takes_the_place_of_what_stands_there(demo: None, place: Path, unproved: None) -> None:
    file = copied(place).file
    stands(place, "old")
    found = restore(file)
    before = Path(found.before)
    assert (skins(place), (place / PHOTO).read_text()) == (Skin.objects.count(), f"new {PHOTO}")
    assert (place / "secret.key").read_text() == KEY
    assert (before / PHOTO).read_text() == f"old {PHOTO}"
    assert before.name.startswith("shed-before-20")
    assert (place / "papers" / "care.pdf").read_text().startswith("old"), "papers are no part of a copy and stay"
    assert (place / "copies" / file.name).exists(), "the copies stay with the workshop"
    assert not (place / restoring.NOTE).exists()
    assert {path.name for path in place.parent.iterdir()} == {"shed", before.name}


def test_a_copy_goes_into_a_new_or_empty_folder(demo: None, place: Path, unproved: None, tmp_path: Path) -> None:
    file = copied(place).file
    (tmp_path / "empty").mkdir()
    for name in ("empty", "fresh"):
        found = restore(file, into=tmp_path / name)
        assert (found.before, skins(tmp_path / name)) == ("", Skin.objects.count())
    assert (place / PHOTO).exists()


def test_a_folder_of_other_things_is_left_alone(demo: None, place: Path, tmp_path: Path) -> None:
    file = copied(place).file
    (tmp_path / "letters").mkdir()
    (tmp_path / "letters" / "aunt.txt").write_text("dear")
    with pytest.raises(Refused, match="holds other things than a workshop"):
        restore(file, into=tmp_path / "letters")
    with pytest.raises(Refused, match="is a file"):
        restore(file, into=tmp_path / "letters" / "aunt.txt")
    with pytest.raises(Refused, match="There is no folder"):
        restore(file, into=tmp_path / "no" / "where")


def test_a_copy_that_does_not_stand_the_test_changes_nothing(
    demo: None, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def differs(*_: object, **__: object) -> None:
        raise Refused("The copy does not stand the test")

    file = copied(place).file
    stands(place, "old")
    monkeypatch.setattr(databases, "prove", differs)
    with pytest.raises(Refused, match="does not stand the test"):
        restore(file)
    assert (place / PHOTO).read_text() == f"old {PHOTO}"
    assert [path.name for path in place.parent.iterdir()] == ["shed"]


def test_a_workshop_that_is_open_is_not_swapped(demo: None, place: Path, unproved: None) -> None:
    file = copied(place).file
    served = aside.in_use(place, alone=False), aside.in_use(place, alone=False)
    with served[0], served[1], pytest.raises(Refused, match=r"is open\. Stop it with Ctrl\+C"):
        restore(file)
    with aside.in_use(place, alone=True), pytest.raises(Refused, match="being put back"), served_again(place):
        pass
    restore(file)


def served_again(place: Path) -> AbstractContextManager[None]:
    return aside.in_use(place, alone=False)


def test_only_the_owner_restores(demo: None, place: Path) -> None:
    for role in ("helper", "bookkeeper"):
        with pytest.raises(NotAllowed):
            restore(place, by=person(role))


def test_a_copy_of_a_newer_program_is_refused(demo: None, place: Path, tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "newer")) as newer:
        newer.execute("CREATE TABLE django_migrations AS SELECT 'inventory' AS app, '9999_later' AS name")
        newer.commit()
    with pytest.raises(Refused, match=r"newer version .*inventory 9999_later"):
        databases.look_at(tmp_path / "newer", {"django_migrations": 1})


def test_every_step_of_today_s_tables_is_known() -> None:
    known = databases._known()
    assert ("inventory", "0001_initial") in known
    databases.refuse_newer([*known, ("auth", "9999_of_django")])


@pytest.mark.thorough
@pytest.mark.slow
def test_a_copy_of_an_older_program_is_brought_up_and_its_books_are_proved(tmp_path: Path) -> None:
    home, there = databases.environment(tmp_path / "shed"), databases.environment(tmp_path / "there")
    copy = tmp_path / "copy.zip"
    manage(home, "open", "--no-serve", "--empty")
    manage(home, "migrate", "inventory", "0031", "--verbosity", "0")
    manage(home, "backup", str(copy))
    with archive.opened(copy) as found:
        assert "inventory_monthly" not in found.manifest.rows
    assert "books clean" in manage(home, "restore", str(copy), "--into", str(tmp_path / "there"))
    manage(there, "migrate", "--check")
    with closing(sqlite3.connect(tmp_path / "there" / archive.SQLITE)) as opened:
        assert opened.execute("SELECT count(*) FROM inventory_monthly").fetchone() == (0,)


@pytest.mark.thorough
@pytest.mark.slow
def test_books_that_do_not_agree_come_back_only_when_that_is_said(demo: None, place: Path, tmp_path: Path) -> None:
    Material.objects.filter(code="TAG").update(value=Decimal("1.13"))
    file = services.make(target=tmp_path / "copy.zip").file
    with pytest.raises(Refused, match=r"do not agree, in \d+ places .*`restore FILE --although-books-differ`"):
        restore(file, into=tmp_path / "there")
    assert not (tmp_path / "there").exists()
    found = restore(file, into=tmp_path / "there", differ=True)
    assert (found.differences > 0, found.rows, skins(tmp_path / "there")) == (True, sum_of(file), Skin.objects.count())


def sum_of(file: Path) -> int:
    with archive.opened(file) as copy:
        return sum(copy.manifest.rows.values())
