"""What waited and where hours are likely missing: two tables of the year from what `throughput` read."""

from dataclasses import replace
from datetime import date

from costing.report.year import selectors as years
from costing.report.year.columns import UNLOGGED, WAITED
from costing.report.year.throughput import selectors as read
from inventory.base import selectors as workshop
from inventory.report import Cell, Form, Link, Table


def tables(number: int) -> list[Table]:
    """What waited, on paper without what only lay there; where hours are likely missing. None of a year that has not begun."""
    first, last = years.days(number)[0], years.until(number)
    ahead = first > workshop.today()
    found = read.Hands([], []) if ahead else read.hands(first, last)
    empty = "No piece was finished or left in this year."
    waited = Table(
        "waiting",
        "Waiting time and working time",
        WAITED,
        tuple({**row, "piece": Link(str(row["piece"]), "article", str(row["piece"]))} for row in found.waited),
        empty=empty,
        kept="Waiting and hands",
        forms=Form.ALL & ~Form.PAPER,
    )
    moved = tuple(row for row in waited.rows if row["left_on"] is not None or _in(row["finished_on"], number))
    note = _kept_back(len(waited.rows) - len(moved), number)
    return [
        waited,
        replace(waited, name="moved", rows=moved, note=note, empty=f"{empty} {note}".strip(), forms=Form.PAPER),
        Table(
            "unlogged",
            "Hours probably not logged",
            UNLOGGED,
            tuple({**row, "tag": Link(str(row["tag"]), "skin", str(row["tag"]))} for row in found.unlogged),
            kept="Hours likely not written",
        ),
    ]


def _in(day: Cell, number: int) -> bool:
    return isinstance(day, date) and day.year == number


def _kept_back(count: int, number: int) -> str:
    """Where to find the pieces that the paper leaves out."""
    if not count:
        return ""
    pieces = "1 piece that was" if count == 1 else f"{count} pieces that were"
    return f"Without {pieces} finished before {number} and stayed: the page of the year and its workbook list all."
