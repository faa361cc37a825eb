"""Papers shown in the browser, ready to print. What each says is made in `workshop.prints`."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from inventory.models import Place
from inventory.selectors import workshop
from workshop import commands, prints
from workshop.forms import PaperForm


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
    return _shown(prints.sick_day_pdf(on), f"sick-day-{on}")


def _label(request: HttpRequest, which: str, name: str, file: str = "") -> HttpResponse:
    """One label, or as many and on the sheet that the address asks for: ?copies=12&sheet=a4."""
    return _shown(prints.label(which, name, **PaperForm.asked(request.GET)), file or f"{which}-{name}")


def _shown(paper: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(paper, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name.replace("/", "-")}.pdf"'
    return answer
