"""Every column and every key of the one table of columns, empty and left out: loaded, or refused with its place. Never broken."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from costing.models import Channel
from inventory.models import Workshop
from tests.workshop.transfer import folders
from workshop.transfer.format.columns import FILES, KEYS, Column
from workshop.transfer.format.problems import FolderRefused, Problem
from workshop.transfer.format.rows import read_folder
from workshop.transfer.loading import load

EACH = os.environ.get("TAWERY_EACH_COLUMN") == "1"
pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def blanked(file: str, names: set[str], *, absent: bool = False) -> str:
    """A file of the full folder with these columns empty in each row, or left out."""
    rows = list(csv.DictReader(io.StringIO(folders.FULL[file])))
    header = [name for name in rows[0] if not (absent and name in names)]
    out = io.StringIO()
    writer = csv.DictWriter(out, header, lineterminator="\n", extrasaction="ignore")
    writer.writeheader()
    writer.writerows({**row, **dict.fromkeys(names, "")} if not absent else row for row in rows)
    return out.getvalue()


def optional(file: str) -> Iterator[Column]:
    header = folders.FULL[file].partition("\n")[0].split(",")
    yield from (column for column in FILES[file].columns if not column.needed and column.name in header)


def tried(folder: Path, file: str, text: str) -> FolderRefused | None:
    """What a load says of the full folder with one file changed. Nothing stays written."""
    try:
        load(folders.write(folder, folders.FULL | {file: text}), dry_run=True)
    except FolderRefused as refusal:
        return refusal
    return None


@pytest.mark.parametrize("file", folders.FULL)
def test_an_optional_column_is_read_the_same_empty_and_left_out(file: str, tmp_path: Path) -> None:
    for at, column in enumerate(optional(file)):
        rows = [
            [{each.name: row[each.name] for each in FILES[file].columns} for row in read_folder(folder)[file].rows]
            for folder in (
                folders.write(tmp_path / f"{at}", {file: blanked(file, {column.name})}),
                folders.write(tmp_path / f"{at}-absent", {file: blanked(file, {column.name}, absent=True)}),
            )
        ]
        assert rows[0] == rows[1], column.name


@pytest.mark.thorough
@pytest.mark.parametrize("file", folders.FULL)
def test_optional_columns_may_be_empty_or_are_refused_by_their_place(file: str, tmp_path: Path) -> None:
    """All of a file at once; each by itself takes the better part of an hour, and is asked with TAWERY_EACH_COLUMN=1."""
    names = [column.name for column in optional(file)]
    for at, blank in enumerate([{name} for name in names] if EACH else [set(names)]):
        tried(tmp_path / f"{at}", file, blanked(file, blank))
        assert not Workshop.objects.exists()


@pytest.mark.parametrize("file", FILES)
def test_a_needed_column_that_is_empty_or_left_out_is_named(file: str, tmp_path: Path) -> None:
    """Read alone: that is judged before anything is written."""
    header = [column.name for column in FILES[file].columns]
    for at, column in enumerate(each for each in FILES[file].columns if each.needed):
        cells = ["" if name == column.name else "x" for name in header]
        folder = folders.write(tmp_path / f"{at}", {file: f"{','.join(header)}\n{','.join(cells)}\n"})
        said = [
            each.column for each in read_folder(folder)[file].problems if each.reason == "It is missing and is needed."
        ]
        assert column.name in said
        left = [name for name in header if name != column.name]
        with pytest.raises(FolderRefused, match=f"The column {column.name} is missing and is needed"):
            read_folder(folders.write(tmp_path / f"{at}-absent", {file: f"{','.join(left)}\n"}))


def test_a_channel_without_a_fee_or_a_cost_keeps_nothing_back(tmp_path: Path) -> None:
    files = {"channels.csv": "name,fee_percent,fixed_cost\nStall,,\n"}
    load(folders.write(tmp_path / "in", files))
    assert Channel.objects.values_list("name", "fee_percent", "fixed_cost").get() == ("Stall", 0, 0)


@pytest.mark.thorough(but=4)
@pytest.mark.parametrize("key", KEYS)
def test_a_setting_without_a_value_is_taken_as_nothing_or_refused_by_its_row(key: str, tmp_path: Path) -> None:
    folder = folders.write(tmp_path / "in", {"workshop.csv": f"key,value\n{key},\n"})
    problems: tuple[Problem, ...] = ()
    try:
        load(folder, dry_run=True)
    except FolderRefused as refusal:
        problems = tuple(refusal.problems)
    assert [(each.row, each.column) for each in problems] in ([], [(2, "value")])
