"""docs/reference/csv.md says of every file, column and key what the program's own columns say."""

from __future__ import annotations

import re

from tests.workshop.transfer import reference
from workshop.transfer.files.stock import LEDGER
from workshop.transfer.format import reading
from workshop.transfer.format.columns import FILES, KEYS

PAGE = reference.PAGE.read_text("utf-8")
SECTIONS = dict(re.findall(r"^## (\S+\.csv)\n(.*?)(?=^## |\Z)", PAGE, re.MULTILINE | re.DOTALL))


def test_the_page_is_what_the_columns_say_word_for_word() -> None:
    assert reference.with_tables(PAGE) == PAGE, "columns and page differ: python -m tests.workshop.transfer.reference"


def test_every_file_is_on_the_page_in_order_with_its_table() -> None:
    assert list(SECTIONS) == list(FILES)
    for file, text in SECTIONS.items():
        assert reference.columns_table(file) in text, file
    assert reference.keys_table() in SECTIONS["workshop.csv"]


def test_a_table_names_every_column_in_order_and_whether_it_is_needed() -> None:
    for file in FILES.values():
        rows = re.findall(r"^\| `(\w+)` \|([^|]*)\|([^|]*)\|$", SECTIONS[file.name], re.MULTILINE)
        assert [name for name, *_ in rows] == [column.name for column in file.columns]
        assert {name for name, needed, _ in rows if needed.strip() == "yes"} == {
            column.name for column in file.columns if column.needed
        }


def test_every_key_of_the_workshop_is_on_the_page() -> None:
    keys = re.findall(r"^\| `(\w+)` \|[^|]*\|$", SECTIONS["workshop.csv"], re.MULTILINE)
    assert keys == list(KEYS)


def test_the_words_that_a_cell_may_hold_are_all_told() -> None:
    for file in FILES.values():
        for column in file.columns:
            if column.kind.words and column.name != "key":
                told = re.findall(r"`(\w+)`", reference.holds(column))
                assert told == list(column.kind.words), (file.name, column.name)


def test_a_word_that_is_changed_on_the_page_is_found() -> None:
    assert reference.with_tables(PAGE.replace("weight on receipt", "its weight")) == PAGE


def test_the_limits_and_the_ledger_files_are_those_of_the_program() -> None:
    assert f"{reading.MOST_ROWS:,} rows and {reading.MOST_BYTES // 1024**2} MB" in PAGE
    assert all(f"`{file}`" in PAGE.split("## Order on the shelf")[1] for file in LEDGER)
