"""A file from outside as plain cells: what is refused before it is read, and pandas that reads the rest.

Nothing in the file is run or followed: of a formula the result that its program kept is taken, links and macros are not looked
at. Knows nothing of what the cells mean.
"""

from __future__ import annotations

import csv
import io
import math
import zipfile
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from inventory.errors import Refused

Value = str | Decimal | date
Place = tuple[int, int]

MOST_BYTES = 5 * 1024 * 1024
MOST_ROWS = 5_000
MOST_COLUMNS = 60
MOST_SHEETS = 40
_UNPACKED = 60 * 1024 * 1024
_MOST_CELLS = MOST_ROWS * MOST_COLUMNS
_CELL_LONGEST = 1_000
_OLD_OFFICE = b"\xd0\xcf\x11\xe0"
_SPLIT = f"At most {MOST_ROWS:,} rows are brought in at a time: split the file, by years for example."


@dataclass(frozen=True)
class Sheet:
    """Cells by row and column, both from 1; empty ones are not there. `merged`: the cells that take the value of another.

    `faults`: why a cell cannot be believed, in words.
    """

    name: str
    rows: dict[int, dict[int, Value]]
    merged: dict[Place, Place] = field(default_factory=dict)
    faults: dict[Place, str] = field(default_factory=dict)

    def at(self, row: int, column: int) -> Value | None:
        """What stands there; of a merged cell, what stands in its first."""
        value = self.rows.get(row, {}).get(column)
        if value is None and (first := self.merged.get((row, column))) is not None:
            value = self.rows.get(first[0], {}).get(first[1])
        return value


def opened(content: bytes, name: str) -> list[Sheet]:
    """The sheets of a file that hold anything. Refuses what is too large, locked, old, or no spreadsheet."""
    if not content.strip():
        raise Refused(f"{_short(name)} is empty. Choose the file with your rows in it.", field="file")
    if len(content) > MOST_BYTES:
        raise Refused(f"{_short(name)} is larger than {MOST_BYTES // 1024 // 1024} MB. {_SPLIT}", field="file")
    if content.startswith(_OLD_OFFICE):
        raise Refused(
            f"{_short(name)} is locked with a password or in the old .xls format. Open it in your spreadsheet program, take the "
            "password off, and save it as .xlsx or .csv.",
            field="file",
        )
    sheets = _workbook(content, name) if content.startswith(b"PK") else [_text(content, name)]
    found = [sheet for sheet in sheets if sheet.rows]
    if not found:
        raise Refused(f"{_short(name)} has no filled cells. Choose the file with your rows in it.", field="file")
    if (count := sum(len(sheet.rows) for sheet in found)) > MOST_ROWS:
        raise _too_long(name, count)
    if (widest := max(len(row) for sheet in found for row in sheet.rows.values())) > MOST_COLUMNS:
        raise Refused(
            f"{_short(name)} has rows of {widest} filled cells; at most {MOST_COLUMNS} are read. Take out the columns that are "
            "not needed.",
            field="file",
        )
    return found


def _too_long(name: str, count: int) -> Refused:
    return Refused(f"{_short(name)} has {count:,} rows. {_SPLIT} Nothing was written.", field="file")


def _short(name: str) -> str:
    return name.replace("\\", "/").rpartition("/")[2][:60] or "The file"


def _workbook(content: bytes, name: str) -> list[Sheet]:
    try:
        _refuse_unsafe(content, name)
        return list(_sheets(content))
    except Refused:
        raise
    except Exception:  # a damaged file breaks the readers in any way there is; none of it is the maker's concern
        raise Refused(
            f"{_short(name)} cannot be read as a spreadsheet. Open it in your spreadsheet program and save it again as .xlsx or "
            ".csv.",
            field="file",
        ) from None


def _refuse_unsafe(content: bytes, name: str) -> None:
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        parts = packed.infolist()
        names = {part.filename for part in parts}
        if "xl/workbook.xml" not in names:
            raise Refused(
                f"{_short(name)} is not an .xlsx spreadsheet. Save it as .xlsx or .csv from your spreadsheet program.",
                field="file",
            )
        if any(part.endswith("vbaProject.bin") for part in names):
            raise Refused(
                f"{_short(name)} has macros in it, which are not let in. Save it as .xlsx, without macros.",
                field="file",
            )
        if sum(part.file_size for part in parts) > _UNPACKED:
            raise Refused(f"{_short(name)} unpacks to more than a workshop's rows could fill. {_SPLIT}", field="file")
        for part in parts:
            if not part.filename.endswith((".xml", ".rels")):
                continue
            text = packed.read(part)
            if b"<!DOCTYPE" in text or b"<!ENTITY" in text:
                raise Refused(
                    f"{_short(name)} holds definitions that no spreadsheet needs. Save it anew.", field="file"
                )
            if part.filename.startswith("xl/worksheets/") and text.count(b"<c ") > _MOST_CELLS:
                raise _too_long(name, text.count(b"<row"))


def _sheets(content: bytes) -> Iterator[Sheet]:
    import pandas  # half a second: only when a file is brought in
    from openpyxl import load_workbook

    frames = pandas.read_excel(
        io.BytesIO(content), sheet_name=None, header=None, dtype=object, engine="openpyxl", keep_default_na=False
    )
    written = load_workbook(io.BytesIO(content), data_only=False, keep_links=False)
    for name, frame in list(frames.items())[:MOST_SHEETS]:
        rows = _filled(frame.itertuples(index=False))
        merged, faults = _about(written[name], rows)
        yield Sheet(str(name)[:60], rows, merged, faults)


def _about(sheet: Any, rows: dict[int, dict[int, Value]]) -> tuple[dict[Place, Place], dict[Place, str]]:
    """Which cells are merged into which, and the cells that cannot be believed."""
    merged = {
        (row, column): (area.min_row, area.min_col)
        for area in sheet.merged_cells.ranges
        for row in range(area.min_row, min(area.max_row, area.min_row + MOST_ROWS) + 1)
        for column in range(area.min_col, min(area.max_col, area.min_col + MOST_COLUMNS) + 1)
        if (row, column) != (area.min_row, area.min_col)
    }
    faults = {}
    for line in sheet.iter_rows():
        for cell in line:
            there = rows.get(cell.row, {}).get(cell.column)
            if cell.data_type == "f" and there is None:
                faults[cell.row, cell.column] = (
                    "a formula without a result: open the file, let it calculate, and save it"
                )
            elif cell.data_type == "e" or (
                isinstance(there, str) and there.startswith("#") and there.endswith(("!", "?", "A"))
            ):
                faults[cell.row, cell.column] = "the spreadsheet shows an error there"
            elif isinstance(there, str) and there.startswith("="):
                faults[cell.row, cell.column] = "text that begins like a formula"
    for row, column in faults:
        rows.setdefault(row, {}).setdefault(column, "?")
    return merged, faults


def _text(content: bytes, name: str) -> Sheet:
    text = _decoded(content, name)
    if "\0" in text:
        raise Refused(f"{_short(name)} is not a spreadsheet. Save it as .xlsx or .csv.", field="file")
    mark = _separator(text)
    try:
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=mark))
    except csv.Error:
        raise _no_csv(name) from None
    if (count := sum(any(cell.strip() for cell in line) for line in lines)) > MOST_ROWS:
        raise _too_long(name, count)
    width = max((len(line) for line in lines), default=0)
    if width > 10 * MOST_COLUMNS:
        raise Refused(
            f"{_short(name)} has lines of {width} cells. Take out the columns that are not needed.", field="file"
        )

    import pandas  # half a second: only when a file is brought in

    try:
        frame = pandas.read_csv(
            io.StringIO(text, newline=""),
            sep=mark,
            header=None,
            names=list(range(width)),
            dtype=str,
            keep_default_na=False,
            na_filter=False,
            skip_blank_lines=False,
            engine="python",
        )
    except pandas.errors.ParserError:  # of quotes it is stricter
        raise _no_csv(name) from None
    rows = _filled(frame.itertuples(index=False))
    faults = {
        (row, column): "text that begins like a formula"
        for row, cells in rows.items()
        for column, value in cells.items()
        if isinstance(value, str) and value.startswith("=")
    }
    return Sheet("", rows, {}, faults)


def _no_csv(name: str) -> Refused:
    return Refused(f"{_short(name)} cannot be read as CSV. Save it again as .csv or .xlsx.", field="file")


def _decoded(content: bytes, name: str) -> str:
    encodings = ("utf-16",) if content[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252", "latin-1")
    for encoding in encodings:
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise Refused(f"{_short(name)} is written in an unknown way. Save it as CSV in UTF-8, or as .xlsx.", field="file")


def _separator(text: str) -> str:
    """The mark that parts most lines alike: a comma of a price is in some lines, a separator in all."""
    lines = [line for line in text.splitlines() if line.strip()][:50]

    def score(mark: str) -> tuple[int, int]:
        counts: dict[int, int] = defaultdict(int)
        for line in csv.reader(lines, delimiter=mark):
            counts[len(line)] += len(line) > 1
        width = max(counts, key=lambda width: (counts[width], width), default=0)
        return counts.get(width, 0), width

    try:
        return max((";", "\t", ",", "|"), key=score)
    except csv.Error:
        return ","


def _filled(lines: Iterable[Iterable[Any]]) -> dict[int, dict[int, Value]]:
    """Rows and cells that hold anything, by their place in the sheet."""
    found: dict[int, dict[int, Value]] = {}
    for at, line in enumerate(lines, start=1):
        cells = {column: value for column, each in enumerate(line, start=1) if (value := _plain(each)) is not None}
        if cells:
            found[at] = cells
    return found


def _plain(value: Any) -> Value | None:
    """One cell as text, exact number or day; None for nothing. A workbook's number is binary: twelve figures of it are meant."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.date() if value == value else None  # pandas' NaT is a datetime that equals nothing
    if isinstance(value, date):
        return value
    if isinstance(value, int | float):
        if isinstance(value, float) and not math.isfinite(value):
            return None
        return Decimal(value) if isinstance(value, int) else Decimal(format(value, ".12g"))
    if value is None:
        return None
    text = " ".join(str(value).replace("\ufeff", "").replace("\u00a0", " ").split())[:_CELL_LONGEST]
    return text or None
