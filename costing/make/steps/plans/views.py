"""The page that looks ahead: planning back from a day, and clashes of tubs and frames."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from costing.make.steps.plans import selectors as plans
from costing.make.steps.plans.forms import BackPlanForm
from costing.make.steps.plans.rules import Clash
from inventory.base import selectors as workshop
from inventory.models import Place


@require_safe
def plan(request: HttpRequest) -> HttpResponse:
    """`?version=&finish=&heads=` asks; without them the form stands alone above the clashes."""
    form = BackPlanForm(request.GET) if "finish" in request.GET else BackPlanForm(initial=request.GET.dict())
    found = None
    if form.is_bound and form.is_valid():
        asked = form.cleaned_data
        found = plans.back_plan(asked["version"], asked["finish"], asked["heads"])
    day = workshop.today()
    return render(
        request,
        "costing/make/steps/plans/plan.html",
        {
            "title": "Plan ahead",
            "room": "Batches",
            "trail": [("Batches", reverse("batches"))],
            "form": form,
            "found": found,
            "day": day,
            "clashes": told(plans.clashes(day)),
        },
    )


def told(clashes: list[Clash]) -> list[tuple[Clash, str]]:
    """Each with what is wrong and what may be done."""
    frames = set(Place.objects.filter(kind=Place.Kind.FRAME).values_list("name", flat=True))
    return [(clash, way_out(clash, clash.place in frames)) for clash in clashes]


def way_out(clash: Clash, frames: bool) -> str:
    """What is wrong and what may be done about it."""
    days = (clash.ends - clash.begins).days
    wait = f"{days} day{'' if days == 1 else 's'}"
    if frames:
        holds = f"It holds {clash.capacity} skin{'' if clash.capacity == 1 else 's'} at once, and more are to be laced."
        return f"{holds} Let one batch wait {wait}, lace fewer, or give it other frames: change its plan."
    holds = f"It holds {clash.capacity} batch{'' if clash.capacity == 1 else 'es'} at once."
    return f"{holds} Let one batch wait {wait} or give it another tub: change its plan. Or take one out early."
