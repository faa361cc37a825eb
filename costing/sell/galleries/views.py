"""The page of what a place holds, and what a gallery sold in a month."""

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.sell.galleries import selectors as galleries
from costing.sell.pricing.channels.models import Channel
from inventory.base import selectors as workshop
from inventory.ledger.usage import selectors as usage
from inventory.models import Place
from inventory.permits import Act, may
from inventory.web.trail import page


@require_safe
def gallery(request: HttpRequest, pk: int) -> HttpResponse:
    """What a place holds, and for a gallery what it sold in a month. `?month=2025-09`."""
    place = get_object_or_404(Place, pk=pk)
    channel = Channel.objects.filter(place=place).first()
    today = workshop.today()
    asked = request.GET.get("month", "")
    first, last = usage.month_days(usage.month_number(asked) if asked else usage.month_of(today))
    return page(
        request,
        "costing/sell/galleries/gallery.html",
        place.name,
        ("sales", "places"),
        place=place,
        channel=channel,
        held=galleries.held(place),
        month=first,
        before=first - timedelta(days=1) if first > date.min else None,
        after=last + timedelta(days=1) if last < today else None,
        statement=galleries.statement(place, channel, first, last),
        today=today,
        may_prices=may(request.user, Act.PRICES),
        may_shed=may(request.user, Act.SHED),
    )
