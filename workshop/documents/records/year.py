"""The paper of a year's results, from what was read of the year."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from costing.report.year.selectors import LookBack
from inventory import money
from inventory.base import selectors as workshop
from workshop.documents.charts import on_pages as drawings
from workshop.documents.reports import year as paper
from workshop.documents.reports.year import ResultsPaper, Table
from workshop.year import columns as year_columns
from workshop.year import ledgers as results_ledgers
from workshop.year import sheets as results_sheets
from workshop.year.columns import Sheet

# Shares of the page's width, by the key of a column; what is not named here is left out on paper.
WIDTHS = {
    "piece": 1.3, "papers": 1.9, "species": 2.2, "method": 2.2, "channel": 2.2, "fair": 2.8, "on": 1.7,
    "lines": 0.8, "taken": 1.2, "selling": 1.2, "book": 1.2, "left": 1.2, "hours": 1, "per_hour": 1.1,
    "against_full": 1.3, "takings": 1.2, "goods": 1.2, "costs": 1.2, "stall_hours": 1, "per_stall_hour": 1.2,
    "break_even": 1.3, "kind": 1.6, "reason": 3, "count": 1, "amount": 1.2, "what": 1.6, "date_in": 1.6,
    "finished_on": 1.6, "left_on": 1.6, "to_finish": 1.2, "days": 1.2, "tag": 1.3, "minutes": 1.2, "usual_low": 1.2,
    "by": 1.2, "of_what": 3, "lost": 0.8, "of": 0.8, "percent": 1,
}  # fmt: skip


PIECE_COLUMNS = ("piece", "papers", "taken", "selling", "book", "left", "hours", "per_hour", "against_full")


def results_paper(found: LookBack) -> ResultsPaper:
    row = workshop.current()
    start, steps, end = drawings.bridge_rows(found.year)
    tables = [_ledger(each, found.places) for each in results_ledgers.ledgers(found)]
    tables += [_sheet(each, found.places) for each in results_sheets.sheets(found) if each.name != "summary"]
    tables.append(_sheet(results_sheets.lost(), found.places))
    return ResultsPaper(
        title=row.name,
        year=found.year.first.year,
        currency=row.currency,
        bridge=(start, tuple(steps), end),
        tables=tuple(tables),
        written_on=workshop.today(),
    )


def results_pdf(found: LookBack) -> bytes:
    return paper.render(results_paper(found))


def _ledger(ledger: results_ledgers.Ledger, places: int) -> Table:
    rows = [(row.words, *(_coins(value, places) for value in row.values)) for row in ledger.rows]
    return Table(
        heading=ledger.title,
        head=("", *ledger.columns),
        widths=(3, *(1 for _ in ledger.columns)),
        rows=tuple(rows),
        sums=frozenset(at for at, row in enumerate(ledger.rows) if row.total),
        note=ledger.note,
    )


def _sheet(sheet: Sheet, places: int) -> Table:
    wanted: Sequence[str] = PIECE_COLUMNS if sheet.name == "pieces" else tuple(WIDTHS)
    columns = [column for column in sheet.columns if column.key in wanted]
    rows = [
        tuple(
            _coins(row[column.key], places)
            if column.kind == year_columns.MONEY
            else _named(row[column.key], column.key)
            for column in columns
        )
        for row in sheet.rows
    ]
    widths = tuple(WIDTHS[column.key] for column in columns)
    return Table(sheet.title, tuple(column.title for column in columns), widths, tuple(rows))


def _named(cell: year_columns.Cell, key: str) -> year_columns.Cell:
    return f"no {key}" if cell == "" and key in results_sheets.GROUPED else cell


def _coins(value: year_columns.Cell, places: int) -> year_columns.Cell:
    return money.half_up(value, places) if isinstance(value, Decimal) else value
