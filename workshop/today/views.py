"""Today: what needs the hands, what runs out, what is in work, what waits."""

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from costing.make.labour.sessions import selectors as sessions
from costing.make.steps.agenda import selectors as agenda
from costing.models import Batch
from inventory.base import selectors as workshop
from inventory.permits import Act, may
from workshop.first_steps import views as first_steps
from workshop.today import selectors as today_read, today_text
from workshop.transfer.copies import shelf

SHOWN = 8

# When nothing is due soon: how far to look for what comes next.
NEXT_DAYS = 3650


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    day = workshop.today()
    batches = today_read.batches()
    there = {
        "running": sessions.running(),
        **today_read.to_order(day),
        "in_work": batches[Batch.State.IN_WORK],
        "planned": [(batch, (batch.start - day).days) for batch in batches[Batch.State.PLANNED]],
        "waiting": today_read.waiting()[:SHOWN],
        "unpriced": today_read.unpriced()[:SHOWN],
    }
    newcomer = first_steps.shown(request.user)
    return render(
        request,
        "workshop/today/today.html",
        {
            "section": "Today",
            # The plain day: the frame's own is lazy and a template cannot weigh a date against it.
            "day": day,
            "shed_under_a_finger": True,
            "may_log": may(request.user, Act.SHED),
            "copies_nag": shelf.nag() if may(request.user, Act.SETUP) else "",
            "may_goods": may(request.user, Act.GOODS),
            **there,
            **_hands(day),
            **newcomer,
            "only_first_steps": bool(newcomer) and not any(there.values()),
        },
    )


def _hands(day: date) -> dict[str, Any]:
    """The places with something to do, the heading, and what comes next where nothing is near."""
    groups = agenda.groups(day)
    lines = [(group, [today_text.line(task, day) for task in group.tasks]) for group in groups]
    due = [(group, [line for line in of if not line.coming]) for group, of in lines]
    needed = sum(len(of) for _, of in due)
    return {
        "places": [(group, of) for group, of in due if of],
        "coming": [line for _, of in lines for line in of if line.coming],
        "needed": needed,
        "heading": today_text.heading(needed),
        "about": today_text.minutes(sum(group.minutes for group in groups)),
        "next": None if groups else min(agenda.tasks(day, NEXT_DAYS), key=lambda task: task.due.due, default=None),
    }
