"""A report's tables on a page: typed cells as people read them, with the links and sums of the report."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

from django import template
from django.urls import reverse
from django.utils.html import format_html

from inventory import formats, units
from inventory.report import Cell, Cells, Column, Figures, Form, Kind, Link, Table
from inventory.templatetags import figures

register = template.Library()


class ShownCell(NamedTuple):
    text: str
    classes: str
    heads_row: bool = False


Read = Mapping[str, Decimal]


def shown(cell: Cell, column: Column, row: Cells, read: Read = {}) -> str:  # noqa: B006 - only read
    """A cell as a page says it: money without its sign, a quantity in its unit (`read`: as its table reads it), a dash for what
    is not known."""
    if cell is None or cell == "" or (column.dash and not cell):
        return column.blank
    if isinstance(cell, Link):
        address = reverse(cell.page, args=[cell.arg])
        return format_html('{}<a href="{}">{}</a>{}', cell.before, address, cell.text, cell.after)
    if column.kind is Kind.UNIT:
        return units.label(str(cell))
    if isinstance(cell, date):
        return formats.day(cell)
    if isinstance(cell, Decimal):
        return _number(cell, column, row, read)
    return str(cell)


def _number(value: Decimal, column: Column, row: Cells, read: Read) -> str:
    if column.kind is Kind.MONEY:
        return figures.amount(value)
    if column.kind is Kind.QUANTITY:
        unit = str(row["unit"])
        return units.told(read[column.key], unit) if column.key in read else units.show(value, unit)
    return f"{figures.plain(value)} %" if column.kind is Kind.PERCENT else formats.figure(value)


def classes(column: Column) -> str:
    return " ".join(["num"] * column.is_figure + ["far"] * column.far)


@register.inclusion_tag("inventory/report/table.html")
def report_table(table: Table, label: str = "") -> dict[str, Any]:
    """The rows under their head, then what they come to. Numbers stand to the right, the first cell names its row."""
    columns = table.of(Form.PAGE)
    rows = [(_cells(columns, row, table.read(row)), at in table.totals) for at, row in enumerate(table.rows)]
    closing: list[tuple[str, Cells]] = [(table.total_title, table.sums()), *table.after] if table.summed else []
    return {
        "label": label or table.title,
        "heads": [(column.title, classes(column)) for column in columns]
        if len(columns) > 2 or not table.totals
        else [],
        "rows": rows,
        "closing": [_closing(columns, title, values) for title, values in closing],
        "statement": bool(table.totals),
    }


def _cells(columns: tuple[Column, ...], row: Cells, read: Read = {}) -> list[ShownCell]:  # noqa: B006 - only read
    return [
        ShownCell(shown(row[column.key], column, row, read), classes(column), heads_row=at == 0)
        for at, column in enumerate(columns)
    ]


def _closing(columns: tuple[Column, ...], title: str, values: Cells) -> list[ShownCell]:
    """A line of sums: a zero is written, and what has no sum is left empty."""
    plain = tuple(replace(column, dash=False, blank="") for column in columns)
    return _cells(plain, {**dict.fromkeys([column.key for column in columns]), **values, columns[0].key: title})


@register.inclusion_tag("inventory/report/figures.html")
def report_figures(found: Figures, *keys: str) -> dict[str, Any]:
    """Single figures in the order asked for, or all of them, money with its sign."""
    known = {column.key: column for column in found.columns}
    return {"figures": [(known[key].title, _said(found.values[key], known[key])) for key in keys or known]}


def _said(cell: Cell, column: Column) -> str:
    if column.kind is Kind.MONEY and (cell is None or isinstance(cell, Decimal)):
        return figures.money(cell)
    return shown(cell, column, {})
