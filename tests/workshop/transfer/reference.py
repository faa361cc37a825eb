"""The tables of docs/reference/csv.md, written from the columns. The sentences around them are written by hand.

`python -m tests.workshop.transfer.reference` puts the page right.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable

import django
from django.apps import apps
from django.conf import settings

if not apps.ready:  # called by itself
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "workshop.settings")
    django.setup()

from workshop.transfer.format.columns import FILES, KEYS, Column

PAGE = settings.BASE_DIR / "docs" / "reference" / "csv.md"
_SECTION = re.compile(r"^## (\S+\.csv)\n(.*?)(?=^## |\Z)", re.MULTILINE | re.DOTALL)
_TABLE = re.compile(r"^\| (Column|Key) \|.*?\n(?=\n|\Z)", re.MULTILINE | re.DOTALL)


def with_tables(page: str) -> str:
    """The page with each table as the columns of its file say it, every other word as it is."""

    def section(found: re.Match[str]) -> str:
        file, text = found[1], found[2]
        tables = {"Column": columns_table(file) if file in FILES else "", "Key": keys_table()}
        return f"## {file}\n{_TABLE.sub(lambda table: tables[table[1]], text)}"

    return _SECTION.sub(section, page)


def columns_table(file: str) -> str:
    rows = ((f"`{each.name}`", "yes" if each.needed else each.when, holds(each)) for each in FILES[file].columns)
    return _table(("Column", "Needed", "What it holds"), rows)


def keys_table() -> str:
    return _table(("Key", "Value"), ((f"`{key}`", holds(column)) for key, column in KEYS.items()))


def holds(column: Column) -> str:
    """The words that a cell may be, then what a person is told of it."""
    usual = " (also when empty)" if column.kind.words and column.empty else ""
    words = [f"`{word}`{usual if word == column.empty else ''}" for word in column.kind.words]
    if column.name == "key":
        words = []  # they are the table below
    listed = " or ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))
    between = " " if listed and column.help[:1] not in ("", ";", ":") else ""
    return f"{listed}{between}{column.help}"


def _table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    top, *lines = ("|" + "".join(f" {cell} |" if cell else " |" for cell in cells) for cells in (head, *rows))
    return "\n".join([top, "|" + "---|" * len(head), *lines, ""])


if __name__ == "__main__":
    PAGE.write_text(with_tables(PAGE.read_text("utf-8")), "utf-8")
