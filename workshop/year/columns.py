"""The year's results as sheets of typed cells: one source for the page's tables, JSON, CSV, the workbook and the paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import NamedTuple

Cell = str | int | Decimal | date | None
Row = dict[str, Cell]
MONEY, HOURS, COUNT, DAY, TEXT, ASIS = "money", "hours", "count", "day", "text", "as it is"


class Column(NamedTuple):
    """`key` names it in files and JSON, `title` to a reader."""

    key: str
    title: str
    kind: str = TEXT


@dataclass(frozen=True)
class Sheet:
    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]


def cells(sheet: Sheet, row: Row) -> Iterator[tuple[Column, Cell]]:
    for column in sheet.columns:
        yield column, row[column.key]
