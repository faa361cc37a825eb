"""A report as files: CSV of one of its tables, a workbook of all of them, the paper."""

from __future__ import annotations

import csv
import io
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from inventory import report as reports
from inventory.base import checks
from inventory.base.spreadsheets import formula_start, marked
from inventory.errors import Refused
from inventory.money import half_up
from inventory.report import Cell, Cells, Column, Form, Kind, Link, Report, Table

if TYPE_CHECKING:
    from workshop.documents.kit.page import Paper

WIDEST = 60


def paper(report: Report, size: Paper | None = None) -> bytes:
    """The report as PDF."""
    # The drawing library takes long to load; what prints nothing does not wait for it.
    from workshop.reports import pdf

    return pdf.render(report, size or pdf.own_sheet())


def table_csv(report: Report, name: str) -> bytes:
    """One table, UTF-8 with a header, figures with a decimal point, no text that runs as a formula. Empty: not known."""
    known = {table.name: table for table in report.tables(Form.CSV)}
    if name not in known:
        raise Refused(f"There is no table {name}; there is {', '.join(known)}.", field="table")
    columns = known[name].of(Form.CSV)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([column.key for column in columns])
    for row in known[name].rows:
        texts = reports.record(columns, row, report.places)
        writer.writerow([marked(_safe(texts[column.key] or "", row[column.key])) for column in columns])
    return out.getvalue().encode("utf-8")


def _safe(text: str, cell: Cell) -> str:
    """No control signs; should one have got in behind the services, nothing is written."""
    if isinstance(cell, str | Link):
        checks.text(text, "A text of this table", field="table", longest=len(text) or 1)
    return text


def workbook(report: Report) -> bytes:
    """All tables in one workbook. Numbers are numbers, days are days; a text is a text and never a formula."""
    # The writer of workbooks takes long to load, and most answers need none.
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    book.properties.creator = "Tawery"
    book.properties.title = report.title
    for table in report.tables(Form.BOOK):
        _fill(book.create_sheet((table.kept or table.title)[:31]), table, report.places)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _fill(page: Any, table: Table, places: int) -> None:
    # As above.
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    for at, column in enumerate(table.of(Form.BOOK), start=1):
        title = column.kept or column.title
        _put(page.cell(1, at), title, Font(bold=True))
        page.cell(1, at).alignment = Alignment(wrap_text=True, vertical="top")
        words = [title, *(reports.text(row[column.key], column, row, places) or "" for row in table.rows)]
        page.column_dimensions[get_column_letter(at)].width = min(max(map(len, words)) + 2, WIDEST)
        for line, row in enumerate(table.rows, start=2):
            exact = _exact(column, row, places)
            _put(page.cell(line, at), exact)
            page.cell(line, at).number_format = _format(exact)
    page.freeze_panes = "B2"
    page.auto_filter.ref = page.dimensions


def _exact(column: Column, row: Cells, places: int) -> str | int | Decimal | date | None:
    """Money with the currency's decimals and no more, so that the cell holds what the page shows."""
    cell = row[column.key]
    if isinstance(cell, Decimal) and column.kind is Kind.MONEY:
        return half_up(cell, places)
    return str(cell) if isinstance(cell, Link) else cell


def _put(place: Any, cell: str | int | Decimal | date | None, font: Any = None) -> None:
    if cell == "":
        return
    place.value = _safe(cell, cell) if isinstance(cell, str) else cell
    if isinstance(cell, str):
        # The writer takes a text that begins with an equals sign for a formula unless it is told.
        place.data_type = "s"
        place.quotePrefix = bool(formula_start(cell))
    if font is not None:
        place.font = font


def _format(cell: object) -> str:
    if isinstance(cell, date):
        return "yyyy-mm-dd"
    if isinstance(cell, Decimal):
        places = max(0, -int(cell.as_tuple().exponent))
        return f"#,##0.{'0' * places}" if places else "#,##0"
    return "General"
