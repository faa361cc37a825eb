"""Papers shown in the browser, ready to print. What each says is made in `workshop.documents.records`."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.models import Customer, Fair, Job, Payment, Reminder, Sale
from costing.report.valuation.stock_sheet import report as stock_report
from costing.sell.debts.statements import forms as periods, report as statement_report, selectors as statements
from inventory.base import selectors as workshop
from inventory.foresight.shopping import report as shopping_report, selectors as shopping
from inventory.models import Place
from inventory.permits import Act, may
from workshop.answers import plain as commands
from workshop.documents.forms import PaperForm
from workshop.reports import files

# Papers of one record: where it is looked for, and the name of the file.
OF_RECORDS = {
    "sale": (Sale.objects.all(), "{0.number}"),
    "payment": (Payment.objects.all(), "{0.number}"),
    "reminder": (Reminder.objects.select_related("sale"), "reminder-{0.sale.number}-{0.on}"),
    "packing": (Sale.objects.all(), "packing-{0.number}"),
    "fair": (Fair.objects.select_related("place"), "fair-{0.on}"),
    "job": (Job.objects.select_related("customer", "skin").prefetch_related("payments"), "job-{0.number}"),
}


@require_safe
def label(request: HttpRequest, which: str, **named: str) -> HttpResponse:
    """The label of what the address names."""
    (name,) = named.values()
    return _label(request, which, name)


@require_safe
def shelf_label(request: HttpRequest, pk: int) -> HttpResponse:
    """A place by its row, because its name may hold whatever an address cannot."""
    return _label(request, "shelf", get_object_or_404(Place, pk=pk).name, f"shelf-{pk}")


@require_safe
def of_record(request: HttpRequest, which: str, **key: object) -> HttpResponse:
    """The paper of a sale (invoice, credit note or receipt, as it was issued), a payment, a fair or a job."""
    rows, file = OF_RECORDS[which]
    row = get_object_or_404(rows, **key)
    options = {"due": may(request.user, Act.MONEY)} if which == "job" else {}
    return _paper(request, which, row, file=file.format(row), **options)


@require_safe
def statement(request: HttpRequest, pk: int) -> HttpResponse:
    """A customer's account, ?since=2025-01-01&until=2025-03-31; this year up to today where none is named."""
    row, period = get_object_or_404(Customer, pk=pk), periods.period(request.GET)
    return _paper(request, "statement", row, period=period, file=f"statement-{pk}-{period[1]}")


@require_safe
def statement_csv(request: HttpRequest, pk: int) -> HttpResponse:
    row, period = get_object_or_404(Customer, pk=pk), periods.period(request.GET)
    found = statement_report.of(row, statements.account(row, *period))
    return _csv(files.table_csv(found, "account"), f"statement-{pk}-{period[1]}")


@require_safe
def batch_card(request: HttpRequest, number: str) -> HttpResponse:
    return _paper(request, "card", number, file=f"card-{number}")


@require_safe
def origin_pack(request: HttpRequest, number: str) -> HttpResponse:
    """Of an article; without its buyer's name unless ?buyer=yes asks for it, in ?language=fi."""
    asked = {"buyer": request.GET.get("buyer") == "yes", "language": request.GET.get("language", "")}
    return _paper(request, "origin", number, file=f"origin-{number}", **asked)


@require_safe
def stand_in_sheet(request: HttpRequest) -> HttpResponse:
    """As of the workshop's today, or of ?on=2025-01-20."""
    on = commands.day(request.GET.get("on"))
    return _paper(request, "stand-in", on, file=f"sick-day-{on}", risks=may(request.user, Act.MONEY))


@require_safe
def gallery(request: HttpRequest, pk: int) -> HttpResponse:
    """What it holds today or on ?on=2025-09-01; the statement of ?month=2025-09."""
    row = get_object_or_404(Place.objects.select_related("channel"), pk=pk)
    on, month = commands.day(request.GET.get("on")), request.GET.get("month", "")
    return _paper(request, "gallery", row, on=on, month=month, file=f"gallery-{pk}-{month or on}")


@require_safe
def stock_sheet(request: HttpRequest) -> HttpResponse:
    """Everything at the end of the workshop's today, or of ?on=2025-12-31."""
    from workshop.documents.kit import page  # brings in the drawing library

    on = commands.day(request.GET.get("on"))
    size = page.sheet_of(request.GET.get("sheet", ""))
    return _shown(files.paper(stock_report.at(on), size), f"stock-{on}")


@require_safe
def shopping_list(request: HttpRequest) -> HttpResponse:
    """What to order from whom, as of the workshop's today; ?sheet=letter as of any list."""
    from workshop.documents.kit import page  # brings in the drawing library
    from workshop.reports import shopping as paper

    on = workshop.today()
    size = page.sheet_of(request.GET.get("sheet", ""))
    return _shown(paper.paper(shopping.shopping_list(on), size), f"shopping-list-{on}")


@require_safe
def shopping_csv(request: HttpRequest) -> HttpResponse:
    on = workshop.today()
    found = shopping_report.of(shopping.shopping_list(on))
    return _csv(files.table_csv(found, shopping_report.LINES), f"shopping-list-{on}")


@require_safe
def stocktake_sheet(request: HttpRequest) -> HttpResponse:
    return _paper(request, "stocktake", file=f"count-{workshop.today()}")


@require_safe
def grid_sheet(request: HttpRequest) -> HttpResponse:
    """Squares to lay on a hide and the form to count them, for the usual frame or that of ?frame=1200x1500x100."""
    return _paper(request, "grid", request.GET.get("frame", ""), file="grid-sheet")


def _label(request: HttpRequest, which: str, name: str, file: str = "") -> HttpResponse:
    """One label, or as many and on the sheet that the address asks for: ?copies=12&sheet=a4."""
    from workshop.documents import printing  # brings in the drawing library

    return _shown(printing.label(which, name, **PaperForm.options(request.GET)), file or f"{which}-{name}")


def _paper(request: HttpRequest, which: str, *of: object, file: str, **options: object) -> HttpResponse:
    """On the sheet and in the language of the address, ?sheet=letter&language=fi; else the workshop's, the customer's."""
    from workshop.documents import printing  # brings in the drawing library

    if language := request.GET.get("language", ""):
        options["language"] = language
    return _shown(printing.paper(which, *of, sheet=request.GET.get("sheet", ""), **options), file)


def _csv(content: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return answer


def _shown(content: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name.replace("/", "-")}.pdf"'
    return answer
