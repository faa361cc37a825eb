"""A saved folder says what is in it, and is loaded whole or not at all; a folder made by hand needs no manifest."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from inventory.base.chain import selectors as chain
from inventory.base.chain.rules import Head
from inventory.errors import Refused
from inventory.models import Skin
from tests.workshop.transfer import folders
from workshop.transfer import manifest
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db
OLD = Head(7, "3f2a91c077de1b02" * 4)


@pytest.fixture
def saved(tmp_path: Path) -> Path:
    """A folder saved from a small workshop, as another program finds it later."""
    folder = folders.write(tmp_path / "small")
    manifest.write(folder, {"uses.csv": 3}, OLD)
    return folder


def test_saving_says_files_rows_and_checksums_and_leaves_nothing_aside(tmp_path: Path) -> None:
    load(folders.write(tmp_path / "small"))
    found = save(tmp_path / "out")
    told = json.loads((tmp_path / "out" / manifest.NAME).read_text())["files"]
    assert {name: each["rows"] for name, each in told.items()} == found.rows
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out", "small"]
    manifest.refuse_incomplete(tmp_path / "out")


def test_a_whole_folder_is_loaded(saved: Path) -> None:
    assert load(saved).written["skins"] == 4


def test_a_folder_that_lost_a_file_is_refused(saved: Path) -> None:
    (saved / "uses.csv").unlink()
    with pytest.raises(Refused, match=r"uses\.csv is missing in .* delete manifest\.json and load again"):
        load(saved)
    assert not Skin.objects.exists()


@pytest.mark.thorough
def test_a_changed_file_is_refused_until_the_maker_says_that_it_is_theirs(saved: Path) -> None:
    told = (saved / manifest.NAME).read_bytes()
    folders.change(saved, "suppliers.csv", 2, "note", "by cart")
    (saved / manifest.NAME).write_bytes(told)
    with pytest.raises(Refused, match=r"suppliers\.csv in .* is not as it was saved"):
        load(saved)
    (saved / manifest.NAME).unlink()
    assert load(saved).written["skins"] == 4


def test_a_file_that_was_not_saved_with_the_others_is_refused(saved: Path) -> None:
    (saved / "hours.csv").write_text("date\n")
    with pytest.raises(Refused, match=r"hours\.csv in .* was not saved with the others"):
        load(saved)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{}",
        '{"version": 2, "files": {}}',
        '{"version": 1, "files": {"../x": {"bytes": 1, "sha256": ""}}}',
        '{"version": 1, "files": {}, "chain": {"links": 1, "digest": "x"}}',
        '{"version": 1, "files": {}, "chain": {"links": -1, "digest": ""}}',
        '{"version": 1, "files": {}, "chain": 7}',
        "\ud800",
    ],
)
def test_a_manifest_that_cannot_be_read_is_refused(saved: Path, text: str) -> None:
    (saved / manifest.NAME).write_bytes(text.encode("utf-8", "surrogatepass"))
    with pytest.raises(Refused, match=r"manifest\.json cannot be read"):
        load(saved)


@pytest.mark.thorough
def test_the_books_say_which_ones_they_were_loaded_from_and_go_on_from_there(saved: Path, tmp_path: Path) -> None:
    load(saved)
    assert chain.came_from() == OLD
    assert list(chain.findings()) == []
    head = chain.head()
    save(tmp_path / "out")
    assert manifest.head(tmp_path / "out") == head


@pytest.mark.thorough
def test_a_folder_made_by_hand_comes_from_nowhere(tmp_path: Path) -> None:
    load(folders.write(tmp_path / "small"))
    assert chain.came_from() is None
    assert chain.head().position > 0
