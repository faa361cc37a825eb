"""The page that says where a batch differs from its recipe, in money and in words."""

from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.make.batches.models import Batch
from costing.make.batches.stays import selectors as stays
from costing.make.batches.variance import selectors as variance_read
from costing.make.batches.variance.rules import NONE, Variance
from inventory.base import selectors as workshop
from inventory.money import half_up, parts_of
from inventory.templatetags import figures
from inventory.web.trail import page, to


def in_words(amount: Decimal) -> str:
    """2.40 € more, 1.05 € less, or as planned."""
    return f"{figures.money(abs(amount))} {'more' if amount > 0 else 'less'}" if amount else "as planned"


def _said(found: Variance, total: Decimal) -> dict[str, str]:
    """A variance as it is read: the two add up to the `total` that is shown of it."""
    price, usage = parts_of(total, [found.price, found.usage], workshop.places())
    return {"price": in_words(price), "usage": in_words(usage), "total": in_words(total)}


@require_safe
def variances(request: HttpRequest, number: str) -> HttpResponse:
    batch = get_object_or_404(stays.detailed(), number=number)
    found = variance_read.of(batch)
    # Rounded once for all; materials and work, and each material, are apportioned to add up to it.
    places = workshop.places()
    whole = half_up(found.total.total, places)
    worked = found.work.found if found.work else NONE
    materials, work = parts_of(whole, [found.material_total.total, worked.total], places)
    known = [row.found for row in found.materials if row.found]
    totals = iter(parts_of(materials, [each.total for each in known], places))
    return page(
        request,
        "costing/make/batches/variance/variance.html",
        f"{batch.number} compared with its recipe",
        to(batch),
        batch=batch,
        rows=[(row, _said(row.found, next(totals)) if row.found else None) for row in found.materials],
        materials=_said(found.material_total, materials),
        work=found.work,
        work_sum=_said(worked, work) if found.work else None,
        total=_said(found.total, whole),
        done=batch.state == Batch.State.DONE,
    )
