"""The cash book: a year's accounts by month, and every entry, on a page and as files."""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from costing.report.cashbook import report as cashbook_report
from costing.report.year import selectors as years
from costing.sell.accounts import selectors as accounts
from inventory.base import selectors as workshop
from inventory.permits import Act, may
from inventory.report import Form
from inventory.web.trail import page
from workshop.reports import files
from workshop.reports.views import attachment

LATELY = 20


@require_safe
def now(request: HttpRequest) -> HttpResponse:
    """The year that runs."""
    return HttpResponseRedirect(reverse("cash_book", args=[workshop.today().year]))


@require_safe
def cash_book(request: HttpRequest, number: int) -> HttpResponse:
    found = cashbook_report.at(number)
    return page(
        request,
        "workshop/reports/cashbook.html",
        found.title,
        ("books",),
        number=number,
        state=years.state(number),
        accounts=[table for table in found.tables(Form.READ) if table.name.startswith("account_")],
        entries=found.table("entries"),
        openings=accounts.openings().values(),
        transfers=accounts.transfers()[:LATELY],
        may_books=may(request.user, Act.BOOKS),
    )


@require_safe
def cash_book_file(request: HttpRequest, number: str, table: str, ending: str) -> HttpResponse:
    """The months or the entries as CSV, all of it as a workbook or PDF."""
    found = cashbook_report.at(int(number))
    made = {"csv": lambda: files.table_csv(found, table), "pdf": lambda: files.paper(found)}
    content = made.get(ending, lambda: files.workbook(found))()
    return attachment(content, ending, f"cash-book-{number}" + (f"-{table}" if ending == "csv" else ""))
