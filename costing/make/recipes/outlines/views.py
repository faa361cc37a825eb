"""The page of the outlines: what each fits, what it asks for, and what of that is not on the shelf yet."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from costing.make.recipes.outlines.rules import outlines
from inventory.models import Material
from inventory.permits import Act, require
from inventory.web.trail import page
from inventory.web.views import back_to


@require_safe
def listed(request: HttpRequest) -> HttpResponse:
    require(request.user, Act.SHED)
    shelf = list(Material.objects.order_by("name"))
    rows = [(one, one.missing(shelf)) for one in outlines().values()]
    template, way = "costing/make/recipes/outlines/outlines.html", ("batches", "recipes")
    return page(request, template, "Outlines of recipes", way, outlines=rows, back=back_to(request, ""))
