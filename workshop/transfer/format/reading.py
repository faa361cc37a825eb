"""From a folder to raw rows of text. Owns sizes, encoding, quoting and the header; knows no column's meaning.

Everything that can be refused without understanding a cell is refused here, before the database is touched, so that a
file of a hundred thousand rows is turned away at once.
"""

import csv
import io
import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from inventory.errors import Refused
from workshop.transfer.format.problems import Problem

MOST_ROWS = 20_000
MOST_BYTES = 10 * 1024 * 1024
FORMULA_START = ("=", "+", "@", "-", "\t", "\r", "|")
_NUMBER = re.compile(r"[-+]?\d+([.,]\d+)?", re.ASCII)
_SMALLER = "Load a year at a time."


@dataclass(frozen=True)
class RawFile:
    """A file as text: its header, its rows with their spreadsheet numbers, and the rows that no column can make sense of."""

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    refused: tuple[tuple[str, ...], ...] = ()
    problems: tuple[Problem, ...] = ()


class Unreadable(Exception):  # noqa: N818 - an answer to the maker, as every refusal
    """The file as a whole, or from `row` on, cannot be read."""

    def __init__(self, reason: str, row: int | None = None) -> None:
        super().__init__(reason)
        self.reason = reason
        self.row = row


def read_folder(folder: Path, known: Collection[str]) -> tuple[dict[str, RawFile], list[Problem]]:
    """Every known file of the folder by name, and what is wrong with whole files; `Refused` for a folder that cannot be read."""
    tables: dict[str, RawFile] = {}
    problems: list[Problem] = []
    for path in _csv_files(folder):
        if path.name not in known:
            problems.append(Problem(path.name, f"This is not a known file. Files are {', '.join(known)}."))
            continue
        try:
            tables[path.name] = _read(path)
        except Unreadable as refusal:
            problems.append(Problem(path.name, refusal.reason, refusal.row))
    return tables, problems


def _csv_files(folder: Path) -> list[Path]:
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


def _read(path: Path) -> RawFile:
    records = _records(_text(_bytes(path)))
    header = _header(next(records, []))
    rows: list[tuple[int, tuple[str, ...]]] = []
    refused: list[tuple[str, ...]] = []
    problems: list[Problem] = []
    for number, cells in enumerate(records, start=2):
        if number > MOST_ROWS + 1:
            raise Unreadable(f"There are more than {MOST_ROWS:,} rows. {_SMALLER}")
        if not any(cell.strip() for cell in cells):
            continue
        bad = _refused_cells(path.name, number, header, cells)
        texts = tuple(cell.replace("\r\n", "\n").strip() for cell in cells)
        if bad:
            problems += bad
            refused.append(texts)
        else:
            rows.append((number, texts))
    return RawFile(path.name, header, tuple(rows), tuple(refused), tuple(problems))


def _bytes(path: Path) -> bytes:
    if not path.is_file():
        raise Unreadable("This is not a plain file. Put a CSV file in its place.")
    try:
        if path.stat().st_size > MOST_BYTES:
            raise Unreadable(f"The file is larger than {MOST_BYTES // 1024**2} MB. {_SMALLER}")
        return path.read_bytes()
    except OSError as error:
        raise Unreadable(f"The file cannot be read: {error.strerror}. Check its permissions.") from error


def _text(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Unreadable("The file is in UTF-16. Save it again as CSV in UTF-8.")
    if b"\0" in data:
        raise Unreadable(
            "The file contains a NUL byte, so it is not text. Save it again as CSV in UTF-8.",
            _row(data, data.index(b"\0")),
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        byte = data[error.start]
        raise Unreadable(
            f"The file is not in UTF-8 (byte 0x{byte:02X} in line {_row(data, error.start)}). Save it again as CSV in UTF-8.",
            _row(data, error.start),
        ) from error


def _row(data: bytes, position: int) -> int:
    return data.count(b"\n", 0, position) + 1


def _records(text: str) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    row = 0
    while True:
        row += 1
        try:
            yield next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise Unreadable(f"The row cannot be read ({error}). Check its quotation marks.", row) from error


def _header(cells: list[str]) -> tuple[str, ...]:
    header = tuple(cell.strip() for cell in cells)
    if not any(header):
        raise Unreadable("The file is empty. Give it a header row, or take it out of the folder.")
    if len(header) == 1 and (";" in header[0] or "\t" in header[0]):
        raise Unreadable("The columns are not divided by commas. Save the file again as CSV with commas.", 1)
    twice = sorted({name for name in header if header.count(name) > 1})
    if twice:
        raise Unreadable(f"The header names {', '.join(twice) or 'an empty column'} twice. Name each column once.", 1)
    return header


def _refused_cells(file: str, number: int, header: tuple[str, ...], cells: list[str]) -> list[Problem]:
    if len(cells) != len(header):
        much = "many" if len(cells) > len(header) else "few"
        reason = f"The row has too {much} cells: {len(cells)}, and the header has {len(header)}."
        return [Problem(file, f"{reason} A text with a comma in it needs quotation marks.", number)]
    formula = "A cell that starts with {!r} is a formula to a spreadsheet. Write plain text or a number."
    return [
        Problem(file, formula.format(start), number, name, cell)
        for name, cell in zip(header, cells, strict=True)
        if (start := formula_start(cell))
    ]


def formula_start(cell: str) -> str:
    """The character that would make a spreadsheet run the cell, or an empty text; a plain signed number has none.

    >>> formula_start("=1+1"), formula_start("-5"), formula_start("alum")
    ('=', '', '')
    """
    for text in (cell, cell.strip()):
        if text.startswith(FORMULA_START) and not _NUMBER.fullmatch(text):
            return text[0]
    return ""
