"""Books: material use of a month and a year, a year's results, what everything is worth, whether the books are clean."""

from datetime import date
from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from costing.make.cost.rates import selectors as rates
from costing.report.tax import report as tax_report, rules as tax_rules, selectors as tax_read
from costing.report.usage import report as usage_report
from costing.report.valuation import report as worth_report
from costing.report.year import look_again, report as year_report, selectors as years
from costing.report.year.columns import GROUPED
from inventory import formats
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.ledger.usage import selectors as usage
from inventory.money import half_up
from inventory.report import Figures, Form, Report, Table
from inventory.templatetags import figures
from workshop import faults
from workshop.answers import plain as commands
from workshop.documents.charts import on_pages as drawings
from workshop.reports import chain, checking, files, tables as report_tables
from workshop.reports.forms import SoldForm, WordsForm

YEAR = 12
FIRST_MONTH, LAST_MONTH = usage.month_of(date.min), usage.month_of(date.max)
KINDS = {
    "csv": "text/csv; charset=utf-8",
    "pdf": "application/pdf",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
FULL = 100
SHOWN = 6
MONTH_ROWS = 100

# What the year's page shows of each table: a name and the two figures that tell most.
BRIEF = {
    "pieces": ("piece", "left", "per_hour"),
    **{f"by_{name}": (name, "left", "per_hour") for name in GROUPED},
    "fairs": ("fair", "left", "per_stall_hour"),
    "given": ("kind", "reason", "amount"),
    "waiting": ("piece", "days", "hours"),
}
# Which have a page of their own.
LISTED = (*BRIEF, "unlogged")


@require_safe
def books(request: HttpRequest) -> HttpResponse:
    """The month asked for by ?month=2025-01, else the last one with entries."""
    asked = request.GET.get("month", "")
    known = usage.months_with_entries()
    latest = known[0] if known else usage.month_of(workshop.today())
    number = usage.month_number(asked) if asked else latest
    found = usage_report.month(usage.month_text(number))
    materials = found.table("lines")
    paged = Paginator(materials.rows, MONTH_ROWS)
    page = paged.get_page(request.GET.get("page"))
    materials = materials.part((page.number - 1) * MONTH_ROWS, page.number * MONTH_ROWS)
    return _page(
        request,
        "workshop/reports/books.html",
        pager={"page": page, "paginator": paged, "prefixed_page_field": "page"},
        month=found.period,
        first_day=usage.month_days(number)[0],
        months=[usage.month_text(each) for each in known],
        year=number // YEAR,
        before=usage.month_text(number - 1) if number > FIRST_MONTH else "",
        after=usage.month_text(number + 1) if number < LAST_MONTH else "",
        materials=materials,
        totals=materials.sums(),
        by_batch=found.table("by_batch"),
        books=found.values("books"),
        chart=drawings.use_by_month(usage.used_by_month(number - YEAR + 1, number)),
    )


@require_safe
def month_file(request: HttpRequest, month: str, ending: str) -> HttpResponse:
    """The month's use as a file: csv or pdf."""
    found = usage_report.month(month)
    content = files.table_csv(found, "lines") if ending == "csv" else files.paper(found)
    return attachment(content, ending, f"material-use-{found.period}")


@require_safe
def worth(request: HttpRequest) -> HttpResponse:
    """What everything is worth at book cost at the end of a day, ?on=2025-12-31."""
    on = commands.day(request.GET.get("on"))
    found = worth_report.at(on)
    sums = next(each for each in found.figures(Form.PAGE) if not each.name)
    materials, gone = found.table("materials"), found.values("aside")
    return _page(request, "workshop/reports/worth.html", on=on, sums=sums, materials=materials, gone=gone)


@require_http_methods(["GET", "HEAD", "POST"])
def check(request: HttpRequest) -> HttpResponse:
    """Every balance and cost recomputed from the entries, one check at a time, and their chain followed; POST: anew, however young
    the last one is. `?was=` is a check value somebody kept."""
    if request.method == "POST":
        checking.check(anew=True)
        return redirect("check_books")
    asked, complaint = request.GET.get("was", "").strip(), ""
    try:
        told = chain.chain_shape(asked or None)
    except Refused as refusal:
        complaint, told = str(refusal), chain.chain_shape(None)
    found = checking.check()
    answer = _page(
        request,
        "workshop/reports/check.html",
        found=found,
        chain=told,
        asked=asked,
        complaint=complaint,
        unknown=chain.UNKNOWN,
    )
    if found is None:
        answer["Refresh"] = str(faults.SOON)
    return answer


@require_safe
def use_of_year(request: HttpRequest, number: int) -> HttpResponse:
    """A year's material use, materials down and months across."""
    return _page(
        request,
        "workshop/reports/use_of_year.html",
        year=number,
        before=number - 1 if number > date.min.year else None,
        after=number + 1 if number < date.max.year else None,
        table=_use_of_year(number).table("by_month"),
    )


@require_safe
def use_of_year_csv(request: HttpRequest, number: int) -> HttpResponse:
    return attachment(files.table_csv(_use_of_year(number), "cells"), "csv", f"material-use-{number}")


def _use_of_year(number: int) -> Report:
    if not date.min.year <= number <= date.max.year:
        raise Refused(f"{number} is not a year of the calendar. Write it as 2025.", field="year")
    return usage_report.year(number)


@require_safe
def results(request: HttpRequest, number: int) -> HttpResponse:
    """The year at a glance; each table has a page of its own where it is sorted and searched."""
    state = years.state(years.checked(number))
    found = year_report.at(number, state=state)
    charts = {each.name: each for each in found.charts(Form.PAGE)}
    bridge, fall = charts["bridge"], charts["fall"]
    wage = half_up(rates.at(date(number, 12, 31)).wage_per_hour, found.places)
    earned = year_report.earned_by_method(found)
    limit = found.values("limit")
    return _page(
        request,
        "workshop/reports/year.html",
        number=number,
        state=state,
        found=found,
        figures={each.name: each.values for each in found.sections if isinstance(each, Figures)},
        sold=next(each for each in found.figures(Form.PAGE) if each.name == "sold"),
        statements={table.name: table for table in found.tables(Form.READ) if table.totals},
        doubts=list(look_again.doubts(found, wage)),
        wage=wage,
        costs=[found.table(name) for name in ("costs", "equipment", "contractors") if found.table(name).rows],
        fall_chart=drawings.steps(fall, "From sales to profit"),
        fall_rows=[(name, figures.money(value)) for name, value in fall.points],
        earned_chart=drawings.per_hour(earned, wage) if earned else "",
        earned_rows=[(name, figures.money(value)) for name, value in earned],
        last_day=date(number, 12, 31),
        bridge=bridge,
        chart=drawings.bridge(bridge),
        chart_rows=[(name, figures.money(value)) for name, value in bridge.points],
        limit=limit,
        **_limit(limit),
        briefs=[_brief(found.table(name)) for name in BRIEF],
    )


def _limit(limit: Any) -> dict[str, Any]:
    """How far the limit is used, for the level drawn of it and in words."""
    if not limit:
        return {}
    used = f"{figures.money(limit['turnover'])} of {figures.money(limit['limit'])}"
    words = f"{used}, {formats.figure(limit['used_percent'])} % of the limit ({limit['span']} from {formats.day(limit['from'])})"
    return {"filled": min(FULL, max(0, int(limit["used_percent"]))), "limit_words": words}


def _brief(table: Table) -> dict[str, Any]:
    """The first rows of a table with the two figures that tell most."""
    more = max(0, len(table.rows) - SHOWN)
    return {"name": table.name, "table": table.only(*BRIEF[table.name], first=SHOWN), "more": more}


@require_safe
def results_table(request: HttpRequest, number: int, table: str) -> HttpResponse:
    """One of the year's tables, searched and sorted as the address asks."""
    if table not in LISTED:
        raise Http404(f"There is no table {table} of results.")
    form, found, total = _narrowed(request, number, table)
    return _page(
        request,
        "workshop/reports/year_table.html",
        number=number,
        trail=[("Books", reverse("books")), (f"Results {number}", reverse("results", args=[number]))],
        name=table,
        title=found.title,
        narrow=form,
        clear=request.path if request.GET else "",
        total=total,
        table=report_tables.sortable(found).opened(request),
    )


def _narrowed(request: HttpRequest, number: int, name: str) -> tuple[WordsForm, Table, Any]:
    """The table with what narrows it; of one that is made of sold lines, what they come to."""
    group = name.removeprefix("by_")
    if name != "pieces" and group not in GROUPED:
        table, form = year_report.table(number, name).table(name), WordsForm(request.GET)
        return form, table.where(lambda row: form.fits(report_tables.said(table, row))), None
    narrow = SoldForm(request.GET, year_report.lines(number))
    lines = narrow.narrowed()
    table = year_report.pieces(lines) if name == "pieces" else year_report.group(group, lines)
    return narrow, table, year_report.total(lines)


@require_safe
def results_csv(request: HttpRequest, number: int, table: str) -> HttpResponse:
    content = files.table_csv(year_report.table(number, table), table)
    return attachment(content, "csv", f"results-{number}-{table.replace('_', '-')}")


@require_safe
def results_file(request: HttpRequest, number: str, ending: str) -> HttpResponse:
    paper = ending == "pdf"
    found = year_report.at(int(number), paper=paper, files=not paper)
    content = files.paper(found) if paper else files.workbook(found)
    return attachment(content, ending, f"results-{number}")


@require_safe
def tax(request: HttpRequest) -> HttpResponse:
    """The tax report of ?from=2025-01&to=2025-03; of this quarter where nothing is asked."""
    asked, complaint = tax_rules.quarter_of(workshop.today()), ""
    if request.GET.get("from"):
        try:
            asked = tax_rules.period(request.GET["from"], request.GET.get("to", ""))
        except Refused as refusal:
            complaint = str(refusal)
    before, after = tax_rules.beside(asked)
    found = tax_report.of(asked)
    return _page(
        request,
        "workshop/reports/tax.html",
        span=asked,
        complaint=complaint,
        found=found,
        due=found.table("due").rows[0],
        near=[("Before", "prev", before), ("After", "next", after)],
        tables=[found.table(name) for name in ("sales", "purchases", "credits", "exempt", "places", "bills")],
        without_bill=tax_read.without_bill(asked),
    )


@require_safe
def tax_file(request: HttpRequest, first: str, last: str, ending: str) -> HttpResponse:
    found = tax_report.of(tax_rules.period(first, last))
    write = {"csv": lambda report: files.table_csv(report, "sales"), "pdf": files.paper, "xlsx": files.workbook}
    return attachment(write[ending](found), ending, f"tax-{first}-{last}")


def attachment(content: bytes, ending: str, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type=KINDS[ending])
    answer["Content-Disposition"] = f'attachment; filename="{name}.{ending}"'
    return answer


def _page(request: HttpRequest, template: str, /, **told: Any) -> HttpResponse:
    return render(request, template, {"section": "Books", **told})
