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
def label(request: HttpRequest, which: str, name: str) -> HttpResponse:
    """A label by its paper and what it is of; ?copies=3&sheet=a4, and ?litres=0.5 of a jar."""
    asked = PaperForm.asked(request.GET)
    return _shown(prints.label(which, name, **asked), f"{which}-{name}")


@require_safe
def shelf_label(request: HttpRequest, pk: int) -> HttpResponse:
    """A place by its row, because its name may hold whatever an address cannot."""
    place = get_object_or_404(Place, pk=pk)
    return _shown(prints.label("shelf", place.name, **PaperForm.asked(request.GET)), f"shelf-{place.pk}")


@require_safe
def batch_card(request: HttpRequest, number: str) -> HttpResponse:
    return _shown(prints.card_pdf(number), f"card-{number}")


@require_safe
def sick_day(request: HttpRequest) -> HttpResponse:
    """As of the workshop's today, or of ?on=2025-01-20."""
    on = commands.day(request.GET["on"]) if request.GET.get("on") else workshop.today()
    return _shown(prints.sick_day_pdf(on), f"sick-day-{on}")


def _shown(paper: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(paper, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name.replace("/", "-")}.pdf"'
    return answer
