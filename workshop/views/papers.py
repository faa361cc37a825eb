"""Papers shown in the browser, ready to print. What each says is made in `workshop.prints`."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.models import Fair, Job, Payment, Sale
from inventory.base import selectors as workshop
from inventory.models import Place
from workshop.answers import plain as commands
from workshop.documents.forms import PaperForm
from workshop.prints import bills as prints_bills
from workshop.prints import cards as prints
from workshop.prints import goods as prints_goods
from workshop.prints import jobs as prints_jobs
from workshop.prints import labels as prints_labels
from workshop.prints import sick as prints_sick
from workshop.prints import stock as prints_stock


@require_safe
def article_label(request: HttpRequest, which: str, number: str) -> HttpResponse:
    return _label(request, which, number)


@require_safe
def skin_tag(request: HttpRequest, tag: str) -> HttpResponse:
    return _label(request, "tag", tag)


@require_safe
def batch_label(request: HttpRequest, which: str, number: str) -> HttpResponse:
    return _label(request, which, number)


@require_safe
def jar_label(request: HttpRequest, code: str) -> HttpResponse:
    """?litres=0.5 for what the jar holds; a litre if not said."""
    return _label(request, "jar", code)


@require_safe
def shelf_label(request: HttpRequest, pk: int) -> HttpResponse:
    """A place by its row, because its name may hold whatever an address cannot."""
    return _label(request, "shelf", get_object_or_404(Place, pk=pk).name, f"shelf-{pk}")


@require_safe
def batch_card(request: HttpRequest, number: str) -> HttpResponse:
    return _shown(prints.card_pdf(number), f"card-{number}")


@require_safe
def sick_day(request: HttpRequest) -> HttpResponse:
    """As of the workshop's today, or of ?on=2025-01-20."""
    on = commands.day(request.GET["on"]) if request.GET.get("on") else workshop.today()
    return _shown(prints_sick.sick_day_pdf(on), f"sick-day-{on}")


@require_safe
def sale(request: HttpRequest, number: str) -> HttpResponse:
    """The invoice, credit note or receipt as it was issued."""
    row = get_object_or_404(Sale, number=number)
    return _shown(prints_bills.sale_pdf(row, _sheet(request)), row.number)


@require_safe
def payment(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(Payment, number=number)
    return _shown(prints_bills.payment_pdf(row, _sheet(request)), row.number)


@require_safe
def packing(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(Sale, number=number)
    return _shown(prints_goods.packing_pdf(row, _sheet(request)), f"packing-{row.number}")


@require_safe
def fair(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Fair.objects.select_related("place"), pk=pk)
    return _shown(prints_goods.fair_pdf(row, _sheet(request)), f"fair-{row.on}")


@require_safe
def gallery(request: HttpRequest, pk: int) -> HttpResponse:
    """What it holds today or on ?on=2025-09-01; the statement of ?month=2025-09."""
    row = get_object_or_404(Place.objects.select_related("channel"), pk=pk)
    asked, month = request.GET.get("on"), request.GET.get("month", "")
    on = commands.day(asked) if asked else workshop.today()
    return _shown(
        prints_goods.gallery_pdf(row, on=on, month=month, sheet=_sheet(request)), f"gallery-{pk}-{month or on}"
    )


@require_safe
def job(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(Job.objects.select_related("customer", "skin").prefetch_related("payments"), number=number)
    return _shown(prints_jobs.job_pdf(row, _sheet(request)), f"job-{row.number}")


@require_safe
def stock_sheet(request: HttpRequest) -> HttpResponse:
    """Everything at the end of the workshop's today, or of ?on=2025-12-31."""
    on = commands.day(request.GET.get("on"))
    return _shown(prints_stock.stock_sheet_pdf(on, _sheet(request)), f"stock-{on}")


@require_safe
def count_sheet(request: HttpRequest) -> HttpResponse:
    return _shown(prints_stock.count_sheet_pdf(_sheet(request)), f"count-{workshop.today()}")


def _sheet(request: HttpRequest) -> str:
    """The sheet that the address asks for, ?sheet=letter; empty for the usual one."""
    return request.GET.get("sheet", "")


def _label(request: HttpRequest, which: str, name: str, file: str = "") -> HttpResponse:
    """One label, or as many and on the sheet that the address asks for: ?copies=12&sheet=a4."""
    return _shown(prints_labels.label(which, name, **PaperForm.asked(request.GET)), file or f"{which}-{name}")


def _shown(paper: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(paper, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name.replace("/", "-")}.pdf"'
    return answer
