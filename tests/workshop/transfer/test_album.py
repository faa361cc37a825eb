"""Photos beside the files: looked at like an upload, taken by plain names only, none lost and none passed over unseen."""

from __future__ import annotations

from collections.abc import Callable
from errno import EACCES
from io import BytesIO
from os import strerror
from pathlib import Path

import pytest
from PIL import Image
from pytest_django import Settings

from costing.make.readings import services as photos, services as readings
from costing.models import Reading
from inventory.base import pictures
from inventory.errors import Refused
from tests.workshop.transfer import folders
from workshop.transfer.format.problems import FolderRefused
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = [pytest.mark.django_db, pytest.mark.thorough]
ROW = "2025-01-13T08:00Z,B1,H01,,,,neck,"


@pytest.fixture(autouse=True)
def store(settings: Settings, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path / "data"
    return tmp_path / "data" / "photos"


@pytest.fixture
def small(tmp_path: Path) -> Path:
    folder = folders.write(tmp_path / "small")
    (folder / "photos").mkdir()
    return folder


def picture(shade: int = 90, form: str = "JPEG") -> bytes:
    held = BytesIO()
    place = Image.Exif()
    place[0x010E] = "seen by the river"
    Image.linear_gradient("L").point(lambda value: (value + shade) % 256).save(held, form, exif=place)
    return held.getvalue()


def kept(store: Path) -> list[str]:
    return sorted(file.name for file in store.iterdir()) if store.is_dir() else []


def refused(folder: Path, says: str, column: str = "photo") -> None:
    with pytest.raises(FolderRefused) as refusal:
        load(folder)
    (problem,) = refusal.value.problems
    assert (problem.column, says in problem.reason) == (column, True), str(problem)
    assert not Reading.objects.exists()


def test_a_photo_comes_in_as_an_upload_does(small: Path, store: Path) -> None:
    folders.add(small, "readings.csv", ROW + "neck.PNG")
    (small / "photos" / "neck.PNG").write_bytes(picture(form="PNG"))
    load(small)
    name = Reading.objects.get(note="neck").photo
    assert kept(store) == [name]
    assert b"river" not in (store / name).read_bytes()


def test_photos_come_back_the_same_under_the_same_names(small: Path, store: Path, tmp_path: Path) -> None:
    folders.add(small, "readings.csv", ROW + "a.jpg")
    folders.add(small, "readings.csv", ROW.replace("neck", "flank") + "b.jpg")
    folders.add(small, "readings.csv", ROW.replace("neck", "the same neck") + "a.jpg")
    for name, shade in (("a.jpg", 90), ("b.jpg", 30)):
        (small / "photos" / name).write_bytes(picture(shade))
    load(small)
    saved = save(tmp_path / "A")
    assert saved.photos == 2
    there = {file.name: file.read_bytes() for file in (tmp_path / "A" / "photos").iterdir()}
    assert sorted(there) == kept(store)
    assert there == {name: photos.path(name).read_bytes() for name in there}
    assert all(photos.keep(content) == name for name, content in there.items())
    assert all(name in (tmp_path / "A" / "readings.csv").read_text("utf-8") for name in there)


def missing(folder: Path) -> None:
    """Named, and not there."""


def text_file(folder: Path) -> None:
    (folder / "photos" / "neck.jpg").write_text("not a picture", encoding="utf-8")


def broken_off(folder: Path) -> None:
    (folder / "photos" / "neck.jpg").write_bytes(picture()[:-400])


def far_too_large(folder: Path) -> None:
    with (folder / "photos" / "neck.jpg").open("wb") as file:
        file.truncate(pictures.LARGEST + 1)


def a_folder(folder: Path) -> None:
    (folder / "photos" / "neck.jpg").mkdir()


def pointing_elsewhere(folder: Path) -> None:
    (folder / "mine.jpg").write_bytes(picture())
    (folder / "photos" / "neck.jpg").symlink_to(folder / "mine.jpg")


def folder_pointing_elsewhere(folder: Path) -> None:
    (folder / "photos").rmdir()
    (folder / "mine").mkdir()
    (folder / "mine" / "neck.jpg").write_bytes(picture())
    (folder / "photos").symlink_to(folder / "mine", target_is_directory=True)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (missing, "photos/neck.jpg is missing"),
        (text_file, "no photo"),
        (broken_off, "broken off or damaged"),
        (far_too_large, "at most 20 MB"),
        (a_folder, "photos/neck.jpg is missing"),
        (pointing_elsewhere, "only points to another file"),
        (folder_pointing_elsewhere, "only points to another file"),
    ],
)
def test_what_is_no_photo_is_named_by_its_row(
    small: Path, store: Path, make: Callable[[Path], None], says: str
) -> None:
    make(small)
    folders.add(small, "readings.csv", ROW + "neck.jpg")
    refused(small, says)
    assert kept(store) == []


@pytest.mark.parametrize("name", ["../small/readings.csv", "/etc/hostname", "..", "photos/neck.jpg", ".neck.jpg"])
def test_a_name_that_leads_elsewhere_is_refused(small: Path, name: str) -> None:
    folders.add(small, "readings.csv", ROW + name)
    refused(small, "not a plain file name")


def test_a_photo_that_may_not_be_read_is_refused(small: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As the system answers who has no right to it; rights that the test takes away would not hold for the superuser."""

    def denied(file: Path) -> bytes:
        if file.suffix == ".jpg":
            raise PermissionError(EACCES, strerror(EACCES), str(file))
        return read(file)

    read = Path.read_bytes
    folders.add(small, "readings.csv", ROW + "neck.jpg")
    (small / "photos" / "neck.jpg").write_bytes(picture())
    monkeypatch.setattr(Path, "read_bytes", denied)
    refused(small, "cannot be read: Permission denied. Check its permissions")


def test_a_photo_that_no_row_names_is_refused_and_hidden_files_are_not(small: Path) -> None:
    (small / "photos" / ".thumbs").write_bytes(b"x")
    load(small, dry_run=True)
    (small / "photos" / "neck.jpg").write_bytes(picture())
    refused(small, "No row of readings.csv or areas.csv names this file", column="")


def test_a_dry_run_and_a_refused_folder_leave_no_photo_behind(small: Path, store: Path) -> None:
    folders.add(small, "readings.csv", ROW + "neck.jpg")
    (small / "photos" / "neck.jpg").write_bytes(picture())
    load(small, dry_run=True)
    assert kept(store) == []
    folders.change(small, "uses.csv", 2, "quantity", "600")
    with pytest.raises(FolderRefused):
        load(small)
    assert kept(store) == []


def test_a_photo_that_another_reading_holds_outlives_a_refused_load(small: Path, store: Path) -> None:
    load(folders.write(small.parent / "other"))
    reading = readings.note(tags=["H02"], photo=picture())
    folders.add(small, "readings.csv", ROW + "neck.jpg")
    (small / "photos" / "neck.jpg").write_bytes(picture())
    with pytest.raises(Refused, match="not empty"):
        load(small)
    assert kept(store) == [reading.photo]


def test_a_reading_whose_photo_is_gone_stops_saving_and_says_the_ways_out(small: Path, tmp_path: Path) -> None:
    load(small)
    reading = readings.note(tags=["H02"], photo=picture())
    photos.path(reading.photo).unlink()
    with pytest.raises(
        Refused, match=rf"{reading.photo} of the reading of .* is missing .*backup, or reverse that entry"
    ):
        save(tmp_path / "out")
    assert not (tmp_path / "out").exists()
    readings.reverse(reading=reading)
    saved = save(tmp_path / "out")
    assert (saved.photos, saved.taken_back) == (0, 1)
    assert not (tmp_path / "out" / "photos").exists()
