"""The year's results as files: CSV of one table, a workbook of all, and the paper."""

from __future__ import annotations

import csv
import io
from datetime import date
from decimal import Decimal
from typing import Any

from costing.report.year import selectors as year
from costing.report.year.selectors import LookBack
from inventory.base import checks
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.money import half_up
from workshop.year import answers
from workshop.year import columns as sheets
from workshop.year import sheets as year_sheets
from workshop.year.columns import Cell, Column, Sheet

WIDEST = 60


def look(text: str) -> LookBack:
    return year.at(answers.year_number(text))


def csv_of(found: LookBack, name: str) -> bytes:
    """One sheet, UTF-8 with a header, figures with a decimal point. Empty is what is not known."""
    sheet = _named(found, name)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([column.key for column in sheet.columns])
    for row in sheet.rows:
        writer.writerow([_safe(answers.text(cell, column) or "", cell) for column, cell in sheets.cells(sheet, row)])
    return out.getvalue().encode("utf-8")


def _named(found: LookBack, name: str) -> Sheet:
    if name == year_sheets.STOCK_NAME:
        return year_sheets.stock(found)
    if name == year_sheets.LOST_NAME:
        return year_sheets.lost()
    known = {each.name: each for each in year_sheets.sheets(found)}
    if name not in known:
        there = ", ".join([*known, year_sheets.LOST_NAME, year_sheets.STOCK_NAME])
        raise Refused(f"There is no table {name}; there is {there}.", field="table")
    return known[name]


def _safe(text: str, cell: Cell) -> str:
    """Texts cannot start a formula: no entry takes one. Should one have got in behind the services, nothing is written."""
    if isinstance(cell, str):
        checks.text(text, "A text of this table", field="table", longest=len(text) or 1)
    return text


def workbook(found: LookBack) -> bytes:
    """All sheets in one workbook. Numbers are numbers, days are days; a text is a text and never a formula."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    book.properties.creator = "Tawery"
    book.properties.title = f"Results {found.year.first.year}"
    for sheet in [*year_sheets.sheets(found), year_sheets.lost(), year_sheets.stock(found)]:
        _fill(book.create_sheet(sheet.title[:31]), sheet)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _fill(page: Any, sheet: Sheet) -> None:
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    for at, column in enumerate(sheet.columns, start=1):
        _put(page.cell(1, at), column.title, Font(bold=True))
        page.cell(1, at).alignment = Alignment(wrap_text=True, vertical="top")
        words = [column.title, *(answers.text(row[column.key], column) or "" for row in sheet.rows)]
        page.column_dimensions[get_column_letter(at)].width = min(max(map(len, words)) + 2, WIDEST)
    for line, row in enumerate(sheet.rows, start=2):
        for at, (column, cell) in enumerate(sheets.cells(sheet, row), start=1):
            exact = _exact(cell, column)
            _put(page.cell(line, at), exact)
            page.cell(line, at).number_format = _format(exact)
    page.freeze_panes = "B2"
    page.auto_filter.ref = page.dimensions


def _put(place: Any, cell: Cell, font: Any = None) -> None:
    if cell == "":
        return
    place.value = _safe(cell, cell) if isinstance(cell, str) else cell
    if isinstance(cell, str):
        # The writer takes a text that begins with an equals sign for a formula unless it is told.
        place.data_type = "s"
    if font is not None:
        place.font = font


def _exact(cell: Cell, column: Column) -> Cell:
    """Money with the currency's decimals and no more, so that the cell holds what the page shows."""
    if isinstance(cell, Decimal) and column.kind == sheets.MONEY:
        return half_up(cell, workshop.places())
    return cell


def _format(cell: Cell) -> str:
    if isinstance(cell, date):
        return "yyyy-mm-dd"
    if isinstance(cell, Decimal):
        places = max(0, -int(cell.as_tuple().exponent))
        return f"#,##0.{'0' * places}" if places else "#,##0"
    return "General"


def pdf(found: LookBack) -> bytes:
    from workshop.documents.records import year as results

    return results.results_pdf(found)
