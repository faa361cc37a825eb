"""A report's table as a list that sorts and pages itself."""

from typing import Any

import django_tables2 as tables

from inventory.report import Cell, Cells, Column, Form, Table
from inventory.templatetags import reports
from inventory.web.tables import ListTable, cell


class ReportColumn(tables.Column):  # type: ignore[misc]
    """A cell written as the report's other tables write it, unknown ones too."""

    def __init__(self, column: Column) -> None:
        classes = cell(reports.classes(column))
        super().__init__(verbose_name=column.title, attrs=classes, accessor=column.key, empty_values=())
        self.column = column

    def render(self, value: Cell, record: Cells) -> str:
        return reports.shown(value, self.column, record)


def sortable(table: Table) -> ListTable:
    columns: list[tuple[str, Any]] = [(column.key, ReportColumn(column)) for column in table.of(Form.PAGE)]
    made = ListTable(list(table.rows), extra_columns=columns, empty_text=table.empty)
    made.caption = table.title
    return made
