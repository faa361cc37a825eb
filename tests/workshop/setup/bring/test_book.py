"""Files from outside: what is refused, what is read, and that nothing in them is run."""

from __future__ import annotations

import io
import zipfile
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from openpyxl import Workbook

from inventory.errors import Refused
from tests.workshop.setup.bring.sheets import as_csv, saved, workbook
from workshop.setup.bring import book
from workshop.setup.bring.book import opened

HEADS = ("Date", "Item", "Qty", "Cost")


def packed(**parts: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        for name, content in {"xl/workbook.xml": b"<workbook/>", **parts}.items():
            file.writestr(name, content)
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "is empty"),
        (b"  \n ", "is empty"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "locked with a password or in the old .xls format"),
        (packed(**{"xl/vbaProject.bin": b"x"}), "has macros in it"),
        (
            packed(**{"xl/worksheets/sheet1.xml": b"<!DOCTYPE x [<!ENTITY a 'b'>]><a/>"}),
            "definitions that no spreadsheet needs",
        ),
        (packed(), "cannot be read as a spreadsheet"),
        (b"PK\x03\x04 broken", "cannot be read as a spreadsheet"),
        (b"%PDF-1.4\0\x01", "is not a spreadsheet"),
        (workbook(), "has no filled cells"),
        (b"x" * (book.MOST_BYTES + 1), "is larger than 5 MB"),
    ],
)
def test_what_is_no_readable_spreadsheet_is_refused_with_the_way_out(content: bytes, says: str) -> None:
    with pytest.raises(Refused, match=says):
        opened(content, "../../etc/mine.xlsx")


def test_a_bomb_is_refused_by_what_it_would_unpack_to(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(book, "_UNPACKED", 1000)
    with pytest.raises(Refused, match="unpacks to more"):
        opened(packed(**{"xl/media/a.png": b"\0" * 100_000}), "a.xlsx")


def test_a_hundred_thousand_rows_are_refused_in_numbers() -> None:
    lines = b"Date,Item,Qty,Cost\n" + b"2024-01-05,Alum,15 lb,35\n" * 100_000
    with pytest.raises(Refused, match=r"larger than 5 MB|has 100,001 rows\. At most 5,000 rows"):
        opened(lines, "a.csv")
    rows = b"".join(b'<row><c r="A1"><v>1</v></c></row>' for _ in range(20))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(book, "_MOST_CELLS", 10)
        with pytest.raises(Refused, match=r"has 20 rows\. At most"):
            opened(packed(**{"xl/worksheets/sheet1.xml": rows}), "a.xlsx")


@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_csv_is_read_with_any_separator_and_encoding(mark: str, encoding: str) -> None:
    (sheet,) = opened(
        as_csv(HEADS, ("5.1.2024", "Fischöl", "15 lb", "1,200.00"), mark=mark, encoding=encoding), "a.csv"
    )
    assert list(sheet.rows[2].values()) == ["5.1.2024", "Fischöl", "15 lb", "1,200.00"]


def test_cells_keep_their_place_kind_and_exact_figure() -> None:
    (sheet,) = opened(workbook(HEADS, (), (date(2024, 1, 5), "Alum", 0.1 + 0.2, None, True)), "a.xlsx")
    assert sheet.rows[3] == {1: date(2024, 1, 5), 2: "Alum", 3: Decimal("0.3"), 5: "yes"}


def test_a_formula_gives_its_kept_result_and_is_never_run() -> None:
    made: Any = Workbook()
    made.active.append(["Date", "Item", "Qty", "Cost"])
    made.active.append(["=TODAY()", "Alum", '=HYPERLINK("http://example.org")', 3])
    (sheet,) = opened(saved(made), "a.xlsx")  # openpyxl keeps no results, as a file that was never calculated
    assert sheet.faults == {
        (2, 1): "a formula without a result: open the file, let it calculate, and save it",
        (2, 3): "a formula without a result: open the file, let it calculate, and save it",
    }


def test_text_that_begins_like_a_formula_is_a_doubtful_cell() -> None:
    (sheet,) = opened(as_csv(HEADS, ("2024-01-05", "=cmd|' /C calc'!A0", "1 kg", "3")), "a.csv")
    assert sheet.faults == {(2, 2): "text that begins like a formula"}


def test_merged_cells_share_the_value_of_their_first() -> None:
    made: Any = Workbook()
    made.active.append([date(2024, 1, 5), "Alum"])
    made.active.append([None, "Salt"])
    made.active.merge_cells("A1:A2")
    (sheet,) = opened(saved(made), "a.xlsx")
    assert sheet.at(2, 1) == date(2024, 1, 5)
    assert sheet.at(3, 1) is None
