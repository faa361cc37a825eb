"""Books: the monthly material use on the page, as CSV and as PDF; what everything is worth; whether the books are clean."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from costing.make.batches.issues import selectors as issues
from costing.report.audit import selectors as audit
from costing.report.valuation import selectors as valuation
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.ledger.usage import selectors as usage
from workshop.answers import plain as commands
from workshop.documents.charts import on_pages as drawings
from workshop.reports import material_use as month_csv
from workshop.reports import material_use as yearly

YEAR = 12
FIRST_MONTH, LAST_MONTH = usage.month_of(date.min), usage.month_of(date.max)
SUMS = ("opening_value", "received_value", "used_value", "other_value", "closing_value")


@require_safe
def books(request: HttpRequest) -> HttpResponse:
    """The month asked for by ?month=2025-01, else the last one with entries."""
    asked = request.GET.get("month", "")
    known = usage.months_with_entries()
    latest = known[0] if known else usage.month_of(workshop.today())
    number = usage.month_number(asked) if asked else latest
    flows = usage.flows(number)
    totals = {name: sum((getattr(flow, name) for flow in flows), Decimal(0)) for name in SUMS}
    return render(
        request,
        "workshop/reports/books.html",
        {
            "section": "Books",
            "month": usage.month_text(number),
            "first_day": date(number // YEAR, number % YEAR + 1, 1),
            "months": [usage.month_text(each) for each in known],
            "year": number // YEAR,
            "before": usage.month_text(number - 1) if number > FIRST_MONTH else "",
            "after": usage.month_text(number + 1) if number < LAST_MONTH else "",
            "flows": flows,
            "totals": totals,
            "by_batch": issues.by_batch(number),
            "chart": drawings.use_by_month(usage.used_by_month(number - YEAR + 1, number)),
        },
    )


@require_safe
def month_file(request: HttpRequest, month: str, ending: str) -> HttpResponse:
    """The month's use as a file: csv or pdf."""
    if ending == "csv":
        content, kind = month_csv.write(month), "text/csv; charset=utf-8"
    else:
        from workshop.documents import printing  # brings in the drawing library

        content, kind = printing.paper("month", month), "application/pdf"
    answer = HttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = (
        f'attachment; filename="material-use-{usage.month_text(usage.month_number(month))}.{ending}"'
    )
    return answer


@require_safe
def worth(request: HttpRequest) -> HttpResponse:
    """What everything is worth at book cost at the end of a day, ?on=2025-12-31."""
    on = commands.day(request.GET.get("on"))
    return render(
        request, "workshop/reports/stock_value.html", {"section": "Books", "value": valuation.at(on), "on": on}
    )


@require_safe
def check(request: HttpRequest) -> HttpResponse:
    """Every balance and cost recomputed from the entries."""
    return render(request, "workshop/reports/check.html", {"section": "Books", "findings": audit.findings()})


@require_safe
def year(request: HttpRequest, number: int) -> HttpResponse:
    """A year's material use, materials down and months across."""
    _refuse_no_year(number)
    rows, months = yearly.sheet(number)
    return render(
        request,
        "workshop/reports/use_of_year.html",
        {
            "section": "Books",
            "year": number,
            "before": number - 1 if number > date.min.year else None,
            "after": number + 1 if number < date.max.year else None,
            "rows": rows,
            "months": months,
            "total": sum(months, Decimal(0)),
            "names": drawings.MONTHS,
        },
    )


@require_safe
def year_file(request: HttpRequest, number: int) -> HttpResponse:
    """The year's use as CSV."""
    _refuse_no_year(number)
    answer = HttpResponse(yearly.csv(number), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="material-use-{number}.csv"'
    return answer


def _refuse_no_year(number: int) -> None:
    if not date.min.year <= number <= date.max.year:
        raise Refused(f"{number} is no year of the calendar. Write it as 2025.", field="year")
