"""The page “What if”: what is supposed, and what then changes. It asks and shows; nothing is written."""

from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from costing.make.foresight import what_if as extras
from costing.make.recipes import selectors as recipes
from costing.make.recipes.models import RecipeVersion
from costing.sell.pricing.what_if import selectors as what_if
from costing.sell.pricing.what_if.forms import WhatIfForm
from costing.sell.pricing.what_if.selectors import Question
from inventory import formats
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.web.trail import page


@require_safe
def what_if_page(request: HttpRequest) -> HttpResponse:
    """`?recipe=R1&skins=2&start=` and `material=ALUMK&percent=20` and `slower=2`, alone or together."""
    asked = set(request.GET) & set(WhatIfForm.base_fields)
    form = WhatIfForm(request.GET if asked else None)
    question, version = Question(), None
    if asked and form.is_valid():
        question, version = _question(form)
    return page(
        request,
        "costing/sell/pricing/what_if/what_if.html",
        "What if",
        ("shelf",),
        form=form,
        question=question,
        answer=what_if.answer(question, workshop.today()),
        largest=what_if.largest(version),
    )


def _question(form: WhatIfForm) -> tuple[Question, RecipeVersion | None]:
    """What a valid form supposes; a refusal stands at its field, and then nothing is supposed."""
    given = form.cleaned_data
    version = recipes.current().get(recipe=given["recipe"]) if given["recipe"] else None
    extra = None
    if version:
        try:
            extra = extras.extra_batch(version, given["skins"], workshop.today(), given["start"])
        except Refused as refusal:
            form.add_error(refusal.field if refusal.field in form.fields else None, formats.dated(str(refusal)))
            return Question(), version
    dearer = given["material"]
    return Question(extra, dearer, Decimal(given["percent"]) if dearer else Decimal(0), given["slower"]), version
