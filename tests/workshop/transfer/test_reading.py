"""A folder is read as text: sizes, encoding, quoting, headers and formulas, before anything is understood."""

from __future__ import annotations

import csv
import os
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from inventory.errors import Refused
from workshop.transfer.format import problems, reading
from workshop.transfer.format.columns import FILES
from workshop.transfer.format.problems import FolderRefused, Problem
from workshop.transfer.format.rows import read_folder

PLACES = "places.csv"


def refused(folder: Path) -> list[Problem]:
    with pytest.raises(FolderRefused) as refusal:
        read_folder(folder)
    return refusal.value.problems


def put(folder: Path, data: bytes | str, file: str = PLACES) -> Path:
    (folder / file).write_bytes(data.encode() if isinstance(data, str) else data)
    return folder


def test_a_folder_that_is_not_there_a_file_and_an_empty_folder_are_refused_with_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="Check the path"):
        read_folder(tmp_path / "nowhere")
    with pytest.raises(Refused, match="Name the folder"):
        read_folder(put(tmp_path, "name\n") / PLACES)
    (tmp_path / "empty").mkdir()
    with pytest.raises(Refused, match="nothing to load"):
        read_folder(tmp_path / "empty")


def test_what_the_system_will_not_open_is_refused_by_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(tmp_path, "name\nShelf\n")

    def denied(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", denied)
    (problem,) = refused(tmp_path)
    assert str(problem) == "places.csv: The file cannot be read: Permission denied. Check its permissions."


def test_a_folder_that_may_not_be_looked_into_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def denied(self: Path) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", denied)
    with pytest.raises(Refused, match="Permission denied"):
        read_folder(tmp_path)


def test_a_pipe_or_a_folder_in_place_of_a_file_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / PLACES)
    (tmp_path / "skins.csv").mkdir()
    assert [problem.file for problem in refused(tmp_path)] == [PLACES, "skins.csv"]


def test_an_unknown_file_is_refused_by_name_and_other_files_are_left_alone(tmp_path: Path) -> None:
    put(tmp_path, "name\nShelf\n")
    put(tmp_path, "notes", "README.txt")
    put(tmp_path, "lock", ".places.csv")
    assert list(read_folder(tmp_path)) == [PLACES]
    put(tmp_path, "x\n", "wages.csv")
    put(tmp_path, "x\n", "Skins.CSV")
    assert [(problem.file, "not a known file" in problem.reason) for problem in refused(tmp_path)] == [
        ("Skins.CSV", True),
        ("wages.csv", True),
    ]


def test_a_byte_order_mark_and_windows_line_ends_are_accepted(tmp_path: Path) -> None:
    put(tmp_path, b"\xef\xbb\xbfname,kind\r\nY\xc3\xb6 shelf,shelf\r\n")
    assert read_folder(tmp_path)[PLACES].rows[0]["name"] == "Yö shelf"


def test_another_encoding_is_refused_with_its_byte_and_row(tmp_path: Path) -> None:
    (problem,) = refused(put(tmp_path, b"name\nShelf\nY\xf6 shelf\n"))
    assert problem.row == 3
    assert "0xF6" in problem.reason
    assert "UTF-8" in problem.reason


def test_utf_16_and_nul_bytes_are_refused(tmp_path: Path) -> None:
    (problem,) = refused(put(tmp_path, "name\nShelf\n".encode("utf-16")))
    assert "UTF-16" in problem.reason
    (problem,) = refused(put(tmp_path, b"name\nSh\0elf\n"))
    assert "NUL" in problem.reason
    assert problem.row == 2


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "is empty"),
        ("\n\n", "is empty"),
        ("name;kind\nShelf;shelf\n", "not divided by commas"),
        ("name,kind,name\nShelf,shelf,Shelf\n", "names name twice"),
        ("name,colour\nShelf,red\n", "colour is not a known column of this file"),
        ("name,\nShelf,\n", "(without a name) is not a known column of this file"),
        ("kind\nshelf\n", "column name is missing"),
        ('name\n"Shelf\n', "quotation marks"),
    ],
)
def test_a_file_that_makes_no_table_is_refused_with_what_is_wrong(tmp_path: Path, text: str, reason: str) -> None:
    assert any(reason in problem.reason for problem in refused(put(tmp_path, text)))


def test_rows_count_as_in_a_spreadsheet_also_past_blank_rows_and_broken_lines(tmp_path: Path) -> None:
    put(tmp_path, 'name,note\n"Utuharju",\n\n,\n"Shop","two\nlines"\n=1+1,\n', "suppliers.csv")
    (parsed,) = read_folder(tmp_path).values()
    assert [row.number for row in parsed.rows] == [2, 5]
    assert [problem.row for problem in parsed.problems] == [6]


def test_a_row_with_too_many_or_too_few_cells_is_named(tmp_path: Path) -> None:
    put(tmp_path, "name,kind\nShelf\nTub,tub,red\nFrame,frame\n")
    (parsed,) = read_folder(tmp_path).values()
    assert [(problem.row, problem.reason.split(":")[0]) for problem in parsed.problems] == [
        (2, "The row has too few cells"),
        (3, "The row has too many cells"),
    ]
    assert [row["name"] for row in parsed.rows] == ["Frame"]


@pytest.mark.parametrize("cell", ["=1+1", "+cmd", "@SUM(A1)", "-x", "\tx", " =1+1", "|calc"])
def test_a_cell_that_a_spreadsheet_would_run_is_refused(tmp_path: Path, cell: str) -> None:
    (parsed,) = read_folder(put(tmp_path, f'name\n"{cell}"\n')).values()
    (problem,) = parsed.problems
    assert "formula" in problem.reason
    assert (problem.row, problem.column, problem.value) == (2, "name", cell)


def test_of_a_hundred_thousand_rows_none_is_read_beyond_the_first_too_many(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path, "date,batch,material,quantity\n" + "2025-01-11,B1,SALT,1\n" * 100_000, "uses.csv")
    read, reader = count(), csv.reader

    def counted(*args: Any, **options: Any) -> Iterator[list[str]]:
        for cells in reader(*args, **options):
            next(read)
            yield cells

    monkeypatch.setattr(reading.csv, "reader", counted)
    (problem,) = refused(tmp_path)
    assert "20,000 rows. Load a year at a time." in problem.reason
    assert next(read) == reading.MOST_ROWS + 2  # with the header


def test_twenty_thousand_rows_are_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reading, "MOST_ROWS", 3)
    assert len(read_folder(put(tmp_path, "name\na\nb\nc\n"))[PLACES].rows) == 3
    assert "more than 3 rows" in refused(put(tmp_path, "name\na\nb\nc\nd\n"))[0].reason


def test_a_file_over_the_size_is_refused_without_being_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with (tmp_path / PLACES).open("wb") as file:
        file.truncate(reading.MOST_BYTES + 1)
    monkeypatch.setattr(Path, "read_bytes", lambda self: pytest.fail("read"))
    assert "larger than 10 MB. Load a year at a time." in refused(tmp_path)[0].reason


def test_fifty_problems_are_shown_and_the_rest_counted() -> None:
    found = [Problem(PLACES, "It is missing.", row, "name") for row in range(2, 62)]
    lines = str(FolderRefused(found, unchecked=2)).splitlines()
    assert lines[49] == "places.csv row 51, name “”: It is missing."
    assert lines[50:] == [
        "and 10 more",
        "2 rows were not checked further, because of a row that was refused.",
        "Nothing was written. Put the rows right and load the folder again.",
    ]
    assert len(FolderRefused(found).problems) == 60


def test_a_strangers_text_cannot_steer_the_terminal_or_flood_it() -> None:
    shown = str(Problem(PLACES, "b" * 900, 2, "name", "\x1b[2J" + "a" * 900))
    assert shown.isprintable()
    assert len(shown) < problems._LONGEST_REASON + 150


def test_every_key_column_is_needed() -> None:
    for table in FILES.values():
        needed = {column.name for column in table.columns if column.needed}
        assert set(table.key) <= needed
