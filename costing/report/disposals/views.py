"""The page of what a year disposed of without a sale."""

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from costing.report.disposals import report as disposals
from costing.report.losses.views import EARLIEST
from inventory.base import selectors as workshop
from inventory.report import Form
from inventory.web.trail import page


@require_safe
def of_year(request: HttpRequest, number: int) -> HttpResponse:
    """Own use, gifts, what spoiled or got lost in a year."""
    if not date.min.year < number < date.max.year:
        raise Http404
    found = disposals.year(number)
    return page(
        request,
        "costing/report/disposals/disposals.html",
        found.title,
        ("books",),
        groups=[(table, table.sums()["value"]) for table in found.tables(Form.PAGE)],
        before=number - 1 if number > EARLIEST else None,
        after=number + 1 if number < workshop.today().year else None,
    )
