"""What a price leaves, told while it is typed."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from costing.sell.sales.offers import selectors as offers
from costing.sell.sales.offers.forms import LineForm, taken_of
from inventory.web.forms import as_typed


@require_safe
def earned(request: HttpRequest) -> HttpResponse:
    """The haggling line alone, for a price being typed: `?line=0` with its fields, channel, whether it keeps its fee, buyer."""
    place = request.GET.get("line", "0")
    if not (place.isascii() and place.isdigit() and len(place) < 3):
        raise Http404
    prefix = f"line-{place}"
    found = offers.things([request.GET.get(f"{prefix}-thing", "")])
    if not found or found[0].piece is None:
        raise Http404
    values = as_typed(LineForm.base_fields, request.GET, prefix)
    asked = request.GET
    on = offers.terms(asked.get("channel"), asked.get("customer"), keeps="keeps" in asked)
    haggling = offers.haggling(found[0].piece, on, taken_of(values))
    return render(request, "costing/sell/sales/offers/earned.html", {"haggling": haggling})
