"""The page that looks ahead: planning back from a day, and clashes of tubs and frames."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from costing.make.steps.plans import selectors as plans
from costing.make.steps.plans.forms import BackPlanForm
from inventory.base import selectors as workshop
from inventory.web.trail import page


@require_safe
def plan(request: HttpRequest) -> HttpResponse:
    """`?version=&finish=&heads=` asks; without them the form stands alone above the clashes."""
    form = BackPlanForm(request.GET) if "finish" in request.GET else BackPlanForm(initial=request.GET.dict())
    found = None
    if form.is_bound and form.is_valid():
        found = plans.back_plan(**form.cleaned_data)
    day = workshop.today()
    return page(
        request,
        "costing/make/steps/plans/plan.html",
        "Plan ahead",
        ("batches",),
        form=form,
        found=found,
        day=day,
        clashes=plans.with_ways_out(plans.clashes(day)),
    )
