"""A save that is killed leaves no folder or a whole one. It needs a database without the demonstration."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from django.db import connection

from tests.workshop.transfer import folders
from tests.workshop.transfer.copies.killing import each_kill
from workshop.transfer import manifest
from workshop.transfer.format.rows import read_folder
from workshop.transfer.loading import load
from workshop.transfer.saving import save


@pytest.mark.thorough
@pytest.mark.slow
@pytest.mark.skipif(connection.vendor != "sqlite", reason="a child cannot share a connection to a server")
@pytest.mark.django_db
def test_a_killed_save_leaves_no_folder_or_a_whole_one(tmp_path: Path) -> None:
    load(folders.write(tmp_path / "small"))
    target = tmp_path / "out"
    target.mkdir()

    def anew() -> None:
        shutil.rmtree(target, ignore_errors=True)
        target.mkdir()

    def look(killed: bool) -> str:
        if not target.is_dir() or not any(target.iterdir()):
            return "old"
        manifest.refuse_incomplete(target)
        return "new" if (target / manifest.NAME).exists() and "uses.csv" in read_folder(target) else "half"

    found = each_kill(lambda: save(target), anew, look)
    assert (found[0], found[-1], set(found)) == ("old", "new", {"old", "new"})
