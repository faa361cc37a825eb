"""What a price that is being typed comes to, as a fragment of a page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from costing.sell.pricing.forms import means


@require_safe
def meaning(request: HttpRequest) -> HttpResponse:
    """`?of=` names the box among those sent; `usual` for the usual channel, `exempt` for a buyer without tax."""
    asked = request.GET
    found = means(asked.get(asked.get("of", "")), usual="usual" in asked, relief=asked.get("exempt", ""))
    return render(request, "costing/sell/pricing/meaning.html", {"means": found})
