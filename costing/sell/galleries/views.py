"""The page of what a place holds, and what a gallery sold in a month."""

from datetime import date, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.sell.galleries import selectors as galleries
from costing.sell.pricing.channels.models import Channel
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Place
from inventory.permits import Act, may
from inventory.web.trail import page


@require_safe
def gallery(request: HttpRequest, pk: int) -> HttpResponse:
    """What a place holds, and for a gallery what it sold in a month. `?month=2025-09`."""
    place = get_object_or_404(Place, pk=pk)
    channel = Channel.objects.filter(place=place).first()
    today = workshop.today()
    first, last = month_of(request.GET.get("month", ""), today)
    return page(
        request,
        "costing/sell/galleries/gallery.html",
        place.name,
        ("sales", "places"),
        place=place,
        channel=channel,
        held=galleries.held(place),
        month=first,
        before=first - timedelta(days=1),
        after=last + timedelta(days=1) if last < today else None,
        statement=galleries.statement(place, channel, first, last),
        today=today,
        may_prices=may(request.user, Act.PRICES),
        may_shed=may(request.user, Act.SHED),
    )


def month_of(text: str, today: date) -> tuple[date, date]:
    """The first and the last day of a month written 2025-09; of today's where nothing is asked for.

    >>> month_of("2025-09", date(2025, 12, 31))
    (datetime.date(2025, 9, 1), datetime.date(2025, 9, 30))
    """
    try:
        first = date.fromisoformat(f"{text or format(today, '%Y-%m')}-01")
        if not 1970 <= first.year <= 9000:
            raise ValueError(text)
    except ValueError:
        raise Refused(f"“{text[:20]}” is not a month. Write year and month as 2025-01.") from None
    return first, (first + timedelta(days=31)).replace(day=1) - timedelta(days=1)
