"""The line that says what a price earns, and the channel that it is earned through."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from costing.sell.pricing.channels import rules as channels
from costing.sell.pricing.channels import selectors as channels_read
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales.offers import selectors as offers
from costing.sell.sales.offers.forms import LineForm, taken_of
from inventory.web.forms import as_typed


def channel_of(value: object) -> channels.Channel:
    """The channel that a box holds, whatever was typed into it; none where it names none."""
    text = str(value or "")
    row = Channel.objects.filter(pk=text).first() if text.isascii() and text.isdigit() else None
    return channels_read.plain(row) if row else channels_read.NO_CHANNEL


@require_safe
def earned(request: HttpRequest) -> HttpResponse:
    """The haggling line alone, for a price that is being typed: `?line=0`, with the fields of that line and the channel."""
    place = request.GET.get("line", "0")
    if not (place.isascii() and place.isdigit() and len(place) < 3):
        raise Http404
    prefix = f"line-{place}"
    found = offers.things([request.GET.get(f"{prefix}-thing", "")])
    if not found or found[0].piece is None:
        raise Http404
    values = as_typed(LineForm.base_fields, request.GET, prefix)
    haggling = offers.haggling(found[0].piece, channel_of(request.GET.get("channel")), taken_of(values))
    return render(request, "costing/sell/sales/offers/earned.html", {"haggling": haggling})
