"""The page of the one search box: what is called just so opens at once, everything else stands grouped by kind."""

from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_safe

from inventory.permits import Act, may
from inventory.web.lists import asked_for
from inventory.web.trail import address, has_page, page
from workshop.search import selectors as search_read

LONGEST = 80


@require_safe
def search(request: HttpRequest) -> HttpResponse:
    sought = " ".join(asked_for(request, "q")[:LONGEST].split())
    groups = search_read.found(sought, money=may(request.user, Act.MONEY))
    if thing := search_read.only(groups):
        return redirect(place(thing))
    found = [
        (title, [(hit, place(hit.thing)) for hit in hits], len(hits) == search_read.HITS) for title, hits in groups
    ]
    return page(request, "workshop/search/search.html", "Search", sought=sought, groups=found)


def place(thing: Model) -> str:
    """Where a thing is looked at: its page, or its line in the list of its kind."""
    return address(thing) if has_page(thing) else f"{reverse('payments')}?{urlencode({'words': str(thing)})}"
