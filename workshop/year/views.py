"""Books: a year's results on the page and as files."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django import forms
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from costing.report.year import selectors as year_read
from costing.report.year.profit.selectors import GROUPS
from costing.report.year.selectors import LookBack
from costing.report.year.turnover.rules import Standing
from costing.sell.sales.lines.selectors import SoldLine
from inventory.templatetags import figures
from inventory.web.tables import ListTable
from workshop.documents.charts import on_pages as drawings
from workshop.year import columns as year_columns
from workshop.year import files as results_files
from workshop.year import ledgers as results_ledgers
from workshop.year import sheets
from workshop.year.columns import Sheet
from workshop.year.tables import EarnedTable, FairTable, GivenTable, PieceTable, WaitedTable

KINDS = {
    "csv": "text/csv; charset=utf-8",
    "pdf": "application/pdf",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}

NONE = "-"
FULL = 100
SHOWN = 6
MADE_OF_LINES = ("pieces", "by_")
TABLES: dict[str, type[ListTable]] = {"fairs": FairTable, "given": GivenTable, "waiting": WaitedTable}

# What the overview shows of each table: a name and the two figures that tell most.
BRIEF = {
    "pieces": ("piece", "left", "per_hour"),
    "by_species": ("species", "left", "per_hour"),
    "by_method": ("method", "left", "per_hour"),
    "by_channel": ("channel", "left", "per_hour"),
    "by_fair": ("fair", "left", "per_hour"),
    "fairs": ("fair", "left", "per_stall_hour"),
    "given": ("kind", "reason", "amount"),
    "waiting": ("piece", "days", "hours"),
}


class Words(forms.Form):
    """Narrows a table by words that stand in its rows."""

    words = forms.CharField(
        label="Words", required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"})
    )

    def fits(self, told: str) -> bool:
        """Whether all words asked for stand in what is told; words that cannot be read narrow nothing."""
        asked = self.cleaned_data.get("words", "") if self.is_valid() else ""
        return all(word in told.casefold() for word in asked.casefold().split())


class Narrow(Words):
    """Narrows the lines behind the tables: words of a piece or a paper, and one of each group."""

    def __init__(self, asked: QueryDict, lines: Sequence[SoldLine]) -> None:
        super().__init__(asked)
        self.lines = lines
        for group in sheets.GROUPED:
            known = sorted({GROUPS[group](row.sold) for row in lines})
            choices = [("", "Any"), *((name or NONE, name or "none") for name in known)]
            self.fields[group] = forms.ChoiceField(label=group.capitalize(), required=False, choices=choices)

    def narrowed(self) -> list[SoldLine]:
        """The lines that fit all that was asked; a choice that is not there narrows nothing."""
        self.is_valid()
        asked = {group: self.cleaned_data[group] for group in sheets.GROUPED if self.cleaned_data.get(group)}
        return [row for row in self.lines if self._fits(row, asked) and self.fits(_told(row))]

    def _fits(self, row: SoldLine, asked: dict[str, Any]) -> bool:
        return all((GROUPS[group](row.sold) or NONE) == value for group, value in asked.items())


def _told(row: SoldLine) -> str:
    return f"{row.sold.what} {row.sale.number} {row.line.words}"


@require_safe
def results(request: HttpRequest, number: int) -> HttpResponse:
    """The year at a glance; each table has a page of its own where it sorts and narrows."""
    found = year_read.at(number)
    year, standing = found.year, found.limit
    start, steps, end = drawings.bridge_rows(year)
    return render(
        request,
        "workshop/year/year.html",
        {
            "section": "Books",
            "found": found,
            "number": number,
            "standing": found.standing,
            "chart": drawings.profits(year),
            "chart_rows": [(name, figures.money(value)) for name, value in (start, *steps, end)],
            "ledgers": {ledger.name: ledger for ledger in results_ledgers.ledgers(found)},
            "filled": min(FULL, max(0, int(standing.used_percent))) if standing else None,
            "limit_said": _limit_said(standing) if standing else "",
            "together": found.together(),
            "briefs": [_brief(sheet) for sheet in sheets.sheets(found) if sheet.name in BRIEF],
        },
    )


@require_safe
def results_table(request: HttpRequest, number: int, table: str) -> HttpResponse:
    """One of the year's tables, narrowed and sorted as the address asks."""
    found = year_read.at(number)
    sheet = next((each for each in sheets.sheets(found) if each.name == table and table in BRIEF), None)
    if sheet is None:
        raise Http404(f"There is no table {table} of results.")
    narrow, lines = _narrow(request, found, sheet)
    return render(
        request,
        "workshop/year/table.html",
        {
            "section": "Books",
            "number": number,
            "trail": [("Books", reverse("books")), (f"Results {number}", reverse("results", args=[number]))],
            "sheet": sheet,
            "narrow": narrow,
            "clear": request.path if request.GET else "",
            "together": None if lines is None else found.together(lines),
            "table": _table(found, sheet, narrow, lines).opened(request),
        },
    )


def _limit_said(standing: Standing) -> str:
    used = f"{figures.money(standing.turnover)} of {figures.money(standing.limit)}"
    return f"{used}, {standing.used_percent:f} % of the limit ({standing.span.value} from {standing.first})"


@require_safe
def results_csv(request: HttpRequest, number: int, table: str) -> HttpResponse:
    return _file(
        results_files.csv_of(year_read.at(number), table), "csv", f"results-{number}-{table.replace('_', '-')}"
    )


@require_safe
def results_file(request: HttpRequest, number: str, ending: str) -> HttpResponse:
    found = year_read.at(int(number))
    content = results_files.pdf(found) if ending == "pdf" else results_files.workbook(found)
    return _file(content, ending, f"results-{number}")


def _file(content: bytes, ending: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type=KINDS[ending])
    answer["Content-Disposition"] = f'attachment; filename="{name}.{ending}"'
    return answer


def _narrow(request: HttpRequest, found: LookBack, sheet: Sheet) -> tuple[Words, list[SoldLine] | None]:
    """What narrows a table, and the lines behind it where it is made of lines."""
    if not sheet.name.startswith(MADE_OF_LINES):
        return Words(request.GET), None
    narrow = Narrow(request.GET, found.lines)
    return narrow, narrow.narrowed()


def _table(found: LookBack, sheet: Sheet, narrow: Words, lines: list[SoldLine] | None) -> ListTable:
    if lines is None:
        return TABLES[sheet.name]([row for row in sheet.rows if narrow.fits(" ".join(map(str, row.values())))])
    if sheet.name == "pieces":
        table = PieceTable(list(sheets.piece_sheet(found, lines).rows))
        table.links = {row.sold.what: address for row in lines if (address := _address(row))}
        return table
    group = sheet.name.removeprefix("by_")
    name = tables.Column(verbose_name=group.capitalize(), accessor=group, empty_values=())
    made = EarnedTable(
        list(sheets.group_sheet(found, group, lines).rows), extra_columns=[("name", name)], sequence=("name", "...")
    )
    made.caption = sheet.title
    return made


def _address(row: SoldLine) -> str:
    if row.line.article is not None:
        return reverse("article", args=[row.line.article.number])
    skin = row.line.job.skin if row.line.job is not None else row.line.skin
    return reverse("skin", args=[skin.tag]) if skin is not None else ""


def _brief(sheet: Sheet) -> dict[str, Any]:
    """The first rows of a sheet with the two figures that tell most."""
    keys = BRIEF[sheet.name]
    columns = {column.key: column for column in sheet.columns}
    rows = [[_said(row[key], columns[key]) for key in keys] for row in sheet.rows[:SHOWN]]
    more = max(0, len(sheet.rows) - SHOWN)
    return {"sheet": sheet, "titles": [columns[key].title for key in keys[1:]], "rows": rows, "more": more}


def _said(cell: year_columns.Cell, column: year_columns.Column) -> str:
    if cell is None or cell == "":
        return "–" if column.kind != year_columns.TEXT else "none"
    return figures.amount(cell) if column.kind == year_columns.MONEY and isinstance(cell, Decimal) else f"{cell}"
