"""Killed at any touch of the disk, a backup or a restore leaves the old or the new, and nothing half."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings as plain_settings
from django.db import connection

from inventory.errors import Refused
from tests.workshop.transfer.copies.conftest import PHOTO, copied, names
from tests.workshop.transfer.copies.killing import each_kill
from tests.workshop.transfer.copies.test_restoring import skins, stands
from workshop.transfer.copies import archive, restoring, rules, services

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="a child cannot share a connection to a server"),
]


def test_a_killed_backup_leaves_no_copy_or_a_good_one(demo: None, place: Path) -> None:
    folder = place / "copies"

    def look(killed: bool) -> str:
        there = [path for path in folder.iterdir() if rules.made_at(path.name)] if folder.is_dir() else []
        return "old" if not there else "new" if PHOTO in names(there[0]) else "half"

    found = each_kill(services.make, lambda: shutil.rmtree(folder, ignore_errors=True), look)
    assert (found[0], found[-1], set(found)) == ("old", "new", {"old", "new"})


def test_a_killed_restore_leaves_the_old_or_the_new(demo: None, place: Path, unproved: None, tmp_path: Path) -> None:
    file = shutil.move(copied(place).file, tmp_path / "copy.zip")
    house = tmp_path / "house"
    target = house / "shed"

    def anew() -> None:
        shutil.rmtree(house, ignore_errors=True)
        target.mkdir(parents=True)
        stands(target, "old")

    def look(killed: bool) -> str:
        restoring.finish(target)  # as the next opening does
        word = (target / PHOTO).read_text().split()[0]
        try:
            database = "new" if skins(target) else "half"
        except Exception:  # the old one has no such table
            database = "old"
        return word if word == database else "half"

    found = each_kill(lambda: restoring.restore(Path(file), into=target), anew, look)
    assert (found[0], found[-1], set(found)) == ("old", "new", {"old", "new"})
    assert found == sorted(found, reverse=True), "once it is new it stays new"


def test_what_a_kill_left_is_no_copy(tmp_path: Path) -> None:
    (tmp_path / ".tawery-2026-01-01-000000.zip.part").write_bytes(b"half")
    assert rules.made_at(".tawery-2026-01-01-000000.zip.part") is None
    with pytest.raises(Refused), archive.opened(tmp_path / ".tawery-2026-01-01-000000.zip.part"):
        pass


@pytest.mark.thorough
def test_whatever_is_killed_at_any_moment_leaves_the_old_or_the_new() -> None:
    """A short run of `tests/kills`: posting, load, save, backup, restore, a first start, a migration."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.kills", "--times", "14"],
        cwd=plain_settings.BASE_DIR,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.count("half 0") == 7
