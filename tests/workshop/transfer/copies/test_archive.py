"""A copy from anybody: what is cut short, changed, or made to do harm is refused in words, and nothing of it is unpacked."""

from __future__ import annotations

import hashlib
import json
import stat
import zipfile
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from inventory.errors import Refused
from tests.workshop.transfer.copies.conftest import PHOTO
from workshop.transfer.copies import archive

MADE = datetime(2026, 3, 1, tzinfo=UTC)
INSIDE = {archive.SQLITE: b"database", PHOTO: b"photo"}


def zipped(file: Path, inside: Mapping[str, bytes], told: object = None, **changed: Any) -> Path:
    """A zip as an evil hand would write it: `told` in place of the manifest, `changed` in it."""
    files = {name: {"bytes": len(held), "sha256": hashlib.sha256(held).hexdigest()} for name, held in inside.items()}
    manifest = {"version": 1, "made_at": MADE.isoformat(), "files": files, "rows": {}, **changed}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, held in inside.items():
            packed.writestr(name, held)
        packed.writestr(archive.MANIFEST, json.dumps(manifest if told is None else told))
    return file


def refused(file: Path, says: str, tmp_path: Path) -> None:
    into = tmp_path / "into"
    into.mkdir()
    with pytest.raises(Refused, match=says), archive.opened(file) as copy:
        copy.unpack(into)
    assert not [path for path in tmp_path.rglob("*") if path.name.startswith("evil")]


def test_what_is_written_is_read_back_and_shut_to_others(tmp_path: Path) -> None:
    (tmp_path / "db").write_bytes(b"database" * 1000)
    target = tmp_path / "copy.zip"
    archive.write(target, [(archive.SQLITE, tmp_path / "db"), (PHOTO, tmp_path / "gone")], made=MADE, rows={"skins": 3})
    assert stat.S_IMODE(target.stat().st_mode) == 0o600
    assert sorted(path.name for path in tmp_path.iterdir()) == ["copy.zip", "db"]
    into = tmp_path / "into"
    into.mkdir()
    with archive.opened(target) as copy:
        copy.unpack(into)
        assert (copy.manifest.made, copy.manifest.rows) == (MADE, {"skins": 3})
    assert (into / archive.SQLITE).read_bytes() == b"database" * 1000
    assert not (into / "photos").exists(), "a photo that vanished is left out"


@pytest.mark.parametrize(
    "name",
    [
        "../evil.jpg",
        "/evil.jpg",
        "photos/../../evil.jpg",
        "photos/evil",
        "evil.sh",
        "photos\\evil.jpg",
        "photos/a/evil.jpg",
    ],
)
def test_a_name_that_leads_astray_is_refused(tmp_path: Path, name: str) -> None:
    refused(zipped(tmp_path / "copy.zip", {**INSIDE, name: b"evil"}), "does not belong into one", tmp_path)


def test_a_link_is_refused(tmp_path: Path) -> None:
    info = zipfile.ZipInfo(PHOTO)
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    file = zipped(tmp_path / "copy.zip", {archive.SQLITE: b"database"})
    with zipfile.ZipFile(file, "a") as packed:
        packed.writestr(info, "/etc/passwd")
    refused(file, "does not belong into one", tmp_path)


def test_a_bomb_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    refused(zipped(tmp_path / "copy.zip", {archive.SQLITE: bytes(40_000_000)}), "packed to fill the disk", tmp_path)


def test_more_than_the_disk_holds_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(archive.shutil, "disk_usage", lambda _: type("Usage", (), {"free": 3})())
    refused(zipped(tmp_path / "copy.zip", INSIDE), "has no room for copy.zip", tmp_path)


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_file_named_twice_is_refused(tmp_path: Path) -> None:
    file = zipped(tmp_path / "copy.zip", INSIDE)
    with zipfile.ZipFile(file, "a") as packed:
        packed.writestr(PHOTO, b"other")
    refused(file, "names files twice", tmp_path)


@pytest.mark.parametrize(
    "told", [[], {}, {"version": 1}, "text", None, 7, {"version": 1, "made_at": 3, "files": {}, "rows": {}}]
)
def test_a_manifest_that_says_nothing_is_refused(tmp_path: Path, told: object) -> None:
    refused(zipped(tmp_path / "copy.zip", INSIDE, told or []), "manifest cannot be read", tmp_path)


def test_a_copy_of_a_newer_form_names_the_way_out(tmp_path: Path) -> None:
    refused(zipped(tmp_path / "copy.zip", INSIDE, version=2), "newer program .* Install that version", tmp_path)


def test_a_file_that_is_missing_or_too_many_is_refused(tmp_path: Path) -> None:
    told = {"bytes": 8, "sha256": hashlib.sha256(b"database").hexdigest()}
    refused(zipped(tmp_path / "copy.zip", INSIDE, files={archive.SQLITE: told}), "not those of its manifest", tmp_path)


def test_a_copy_without_a_database_is_refused(tmp_path: Path) -> None:
    refused(zipped(tmp_path / "copy.zip", {PHOTO: b"photo"}), "no database in it", tmp_path)


def test_a_changed_file_is_refused(tmp_path: Path) -> None:
    files = {
        name: {"bytes": len(held), "sha256": hashlib.sha256(b"other").hexdigest()} for name, held in INSIDE.items()
    }
    refused(zipped(tmp_path / "copy.zip", INSIDE, files=files), "is not what was copied", tmp_path)


@pytest.mark.parametrize("where", range(10, 400, 30))
def test_a_copy_with_a_turned_byte_is_good_or_refused_in_words(tmp_path: Path, where: int) -> None:
    file = zipped(tmp_path / "copy.zip", INSIDE)
    held = bytearray(file.read_bytes())
    held[where % len(held)] ^= 0xFF
    file.write_bytes(held)
    said = ""
    try:
        with archive.opened(file) as copy:
            copy.look()
    except Refused as refusal:
        said = str(refusal)
    assert not said or "Take another copy." in said or "Install that version" in said


@pytest.mark.parametrize("share", [0, 1, 50, 99])
def test_a_copy_cut_short_is_refused(tmp_path: Path, share: int) -> None:
    file = zipped(tmp_path / "copy.zip", INSIDE)
    held = file.read_bytes()
    file.write_bytes(held[: len(held) * share // 100])
    refused(file, "was cut short", tmp_path)


def test_no_file_is_refused(tmp_path: Path) -> None:
    refused(tmp_path / "nothing.zip", "There is no file", tmp_path)
