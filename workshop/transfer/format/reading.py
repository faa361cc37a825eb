"""From a folder to raw rows of text. Owns sizes, encoding, quoting and the header; knows no column's meaning.

Everything that can be refused without understanding a cell is refused here, before the database is touched, so that a
file of a hundred thousand rows is turned away at once. The row of a refusal is counted as a spreadsheet does.
"""

import csv
import io
from collections.abc import Iterator, Sequence
from itertools import count
from pathlib import Path

from inventory.base.spreadsheets import formula_start
from inventory.errors import Refused
from workshop.transfer.format.problems import Problem

MOST_ROWS = 20_000
MOST_BYTES = 10 * 1024 * 1024
_SMALLER = "Load a year at a time."


def csv_files(folder: Path) -> list[Path]:
    if not folder.exists():
        raise Refused(f"There is no folder {folder}. Check the path.", field="folder")
    if not folder.is_dir():
        raise Refused(f"{folder} is a file. Name the folder that holds the CSV files.", field="folder")
    try:
        paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".csv" and path.name[0] != ".")
    except OSError as error:
        raise Refused(f"The folder {folder} cannot be read: {error.strerror}. Check its permissions.") from error
    if not paths:
        raise Refused(f"The folder {folder} contains no CSV file, so there is nothing to load.", field="folder")
    return paths


def records(path: Path) -> Iterator[tuple[int, list[str]]]:
    """The rows of a file with their spreadsheet numbers, the header first; blank rows are passed over."""
    reader = csv.reader(io.StringIO(_text(_bytes(path)), newline=""), strict=True)
    for number in count(1):
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise Refused(f"The row cannot be read ({error}). Check its quotation marks.", row=number) from error
        if number > MOST_ROWS + 1:
            raise Refused(f"There are more than {MOST_ROWS:,} rows. {_SMALLER}")
        if number == 1 or any(cell.strip() for cell in cells):
            yield number, cells


def _bytes(path: Path) -> bytes:
    if not path.is_file():
        raise Refused("This is not a plain file. Put a CSV file in its place.")
    try:
        if path.stat().st_size > MOST_BYTES:
            raise Refused(f"The file is larger than {MOST_BYTES // 1024**2} MB. {_SMALLER}")
        return path.read_bytes()
    except OSError as error:
        raise Refused(f"The file cannot be read: {error.strerror}. Check its permissions.") from error


def _text(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Refused("The file is in UTF-16. Save it again as CSV in UTF-8.")
    if b"\0" in data:
        raise Refused(
            "The file contains a NUL byte, so it is not text. Save it again as CSV in UTF-8.",
            row=_row(data, data.index(b"\0")),
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        byte = data[error.start]
        raise Refused(
            f"The file is not in UTF-8 (byte 0x{byte:02X} in line {_row(data, error.start)}). Save it again as CSV in UTF-8.",
            row=_row(data, error.start),
        ) from error


def _row(data: bytes, position: int) -> int:
    return data.count(b"\n", 0, position) + 1


def header(cells: list[str]) -> tuple[str, ...]:
    """The names of the columns."""
    names = tuple(cell.strip() for cell in cells)
    if not any(names):
        raise Refused("The file is empty. Give it a header row, or take it out of the folder.")
    if len(names) == 1 and (";" in names[0] or "\t" in names[0]):
        raise Refused("The columns are not divided by commas. Save the file again as CSV with commas.", row=1)
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise Refused(f"The header names {', '.join(twice) or 'an empty column'} twice. Name each column once.", row=1)
    return names


def refused_cells(file: str, number: int, names: Sequence[str], cells: Sequence[str]) -> list[Problem]:
    """Why a row cannot be told apart into its columns, or which of its cells a spreadsheet would run."""
    if len(cells) != len(names):
        much = "many" if len(cells) > len(names) else "few"
        reason = f"The row has too {much} cells: {len(cells)}, and the header has {len(names)}."
        return [Problem(file, f"{reason} A text with a comma in it needs quotation marks.", number)]
    formula = (
        "A cell that starts with {!r} is a formula to a spreadsheet. Write plain text or a number; an apostrophe before it says "
        "that it is text."
    )
    return [
        Problem(file, formula.format(start), number, name, cell)
        for name, cell in zip(names, cells, strict=True)
        if (start := formula_start(cell))
    ]
