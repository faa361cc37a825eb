"""Losses: writing a skin off, who bears it, taking that back; how often it happens, and what a raw skin may cost."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from costing.report.disposals import selectors as disposals
from costing.report.losses.views import EARLIEST
from inventory.base import selectors as workshop


@require_safe
def let_go(request: HttpRequest, number: int) -> HttpResponse:
    """What a year let go without a sale: own use, gifts, what spoiled or got lost."""
    if not date.min.year < number < date.max.year:
        raise Http404
    return render(
        request,
        "costing/report/disposals/disposals.html",
        {
            "title": f"Own use, gifts, spoiled and lost {number}",
            "room": "Books",
            "trail": [("Books", reverse("books"))],
            "groups": disposals.between(date(number, 1, 1), date(number, 12, 31)),
            "year": number,
            "before": number - 1 if number > EARLIEST else None,
            "after": number + 1 if number < workshop.today().year else None,
        },
    )
