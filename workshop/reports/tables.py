"""A report's table as a list that sorts and pages itself."""

from typing import Any

import django_tables2 as tables

from inventory.report import Cell, Cells, Column, Form, Table
from inventory.templatetags import reports
from inventory.web.tables import ListTable, cell

NOTHING = "Nothing fits this."


class ReportColumn(tables.Column):  # type: ignore[misc]
    """A cell written as the report's other tables write it, unknown ones too."""

    def __init__(self, column: Column) -> None:
        classes = cell(reports.classes(column))
        super().__init__(verbose_name=column.title, attrs=classes, accessor=column.key, empty_values=())
        self.column = column

    def render(self, value: Cell, record: Cells) -> str:
        return reports.shown(value, self.column, record)


def said(table: Table, row: Cells) -> str:
    """All words of a row, with what stands for those that are empty."""
    cells = ((row[column.key], column.blank) for column in table.columns)
    return " ".join(blank if cell is None or cell == "" else str(cell) for cell, blank in cells)


def sortable(table: Table) -> ListTable:
    columns: list[tuple[str, Any]] = [(column.key, ReportColumn(column)) for column in table.of(Form.PAGE)]
    made = ListTable(list(table.rows), extra_columns=columns, empty_text=table.empty or NOTHING)
    made.caption = table.title
    return made
