"""Today: what must be ordered, what is in work, what waits."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from costing.selectors import restock
from costing.selectors import today as selector
from inventory.selectors import workshop

SHOWN = 8


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    day = workshop.today()
    work = selector.work()
    return render(
        request,
        "workshop/today.html",
        {
            "room": "Today",
            # The plain day: the frame's own is lazy and a template cannot weigh a date against it.
            "day": day,
            "alerts": restock.alerts(day),
            "in_work": work.in_work,
            "planned": [(batch, (batch.start - day).days) for batch in work.planned],
            "waiting": work.waiting[:SHOWN],
            "unpriced": work.unpriced[:SHOWN],
        },
    )
