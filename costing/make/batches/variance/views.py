"""The page that says where a batch differs from its recipe, in money and in words."""

from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.make.batches.models import Batch
from costing.make.batches.stays import selectors as stays
from costing.make.batches.variance import selectors as variance_read
from costing.make.batches.variance.rules import Variance
from inventory.base import selectors as workshop
from inventory.money import half_up
from inventory.templatetags import figures
from inventory.web.trail import page, to


def in_words(amount: Decimal) -> str:
    """2.40 € more, 1.05 € less, or as planned."""
    return f"{figures.money(abs(amount))} {'more' if amount > 0 else 'less'}" if amount else "as planned"


def _said(found: Variance) -> dict[str, str]:
    """A variance as it is read, each figure rounded once; the two may differ from their total by a coin."""
    places = workshop.places()
    return {name: in_words(half_up(getattr(found, name), places)) for name in ("price", "usage", "total")}


@require_safe
def variances(request: HttpRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(stays.detailed(), number=number)
    found = variance_read.of(batch)
    return page(
        request,
        "costing/make/batches/variance/variance.html",
        f"{batch.number} compared with its recipe",
        to(batch),
        batch=batch,
        rows=[(row, _said(row.found) if row.found else None) for row in found.materials],
        materials=_said(found.material_total),
        work=found.work,
        work_sum=_said(found.work.found) if found.work else None,
        total=_said(found.total),
        done=batch.state == Batch.State.DONE,
    )
