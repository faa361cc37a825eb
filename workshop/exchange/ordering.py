"""Whether the rows of a ledger carry numbers of their own (`seq`), and whether those fit. Knows no service."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from workshop.exchange.desk import Desk
from workshop.exchange.parsing import Row


def numbered(desk: Desk, rows: Sequence[Row], entry: Callable[[Row], tuple[object, ...]], files: str) -> bool | None:
    """Whether the rows carry numbers; None when some do and some do not, or a number stands for two entries.

    `entry` tells what rows of one entry have in common; `files` names them to the maker.
    """
    with_number = [row for row in rows if row["seq"] is not None]
    if not with_number:
        return False
    before = len(desk.problems)
    for row in rows:
        if row["seq"] is None:
            desk.complain(row, f"seq is missing. Number every row of the {files} files, or none.", "seq")
    entries: dict[int, Row] = {}
    for row in with_number:
        first = entries.setdefault(row["seq"], row)
        if entry(first) != entry(row):
            where = f"{first.table.file} row {first.number}"
            desk.complain(row, f"seq stands in {where} too, for another entry. Rows that share it must agree.", "seq")
    return True if len(desk.problems) == before else None
