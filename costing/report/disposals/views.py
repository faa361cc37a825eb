"""What a year let go without a sale."""

from __future__ import annotations

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from costing.report.disposals import selectors as disposals
from costing.report.losses.views import EARLIEST
from inventory.base import selectors as workshop
from inventory.web.trail import page


@require_safe
def let_go(request: HttpRequest, number: int) -> HttpResponse:
    """What a year let go without a sale: own use, gifts, what spoiled or got lost."""
    if not date.min.year < number < date.max.year:
        raise Http404
    return page(
        request,
        "costing/report/disposals/disposals.html",
        f"Own use, gifts, spoiled and lost {number}",
        ("books",),
        groups=disposals.between(date(number, 1, 1), date(number, 12, 31)),
        year=number,
        before=number - 1 if number > EARLIEST else None,
        after=number + 1 if number < workshop.today().year else None,
    )
