"""Pages of readings: note one of a batch or a skin, undo it, and the photos themselves."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from costing.make.batches.models import Batch
from costing.make.readings import selectors as readings_read, services as readings
from costing.make.readings.forms import ReadingForm
from costing.make.readings.models import Reading
from inventory.models import Skin
from inventory.skins.forms import WEIGHTS
from inventory.web.questions import Odd
from inventory.web.reversals import Reversal
from inventory.web.views import About, M


class _ReadingNew(About[M]):
    form_class = ReadingForm
    template_name = "costing/make/readings/new.html"
    title = "Read or note {self.thing}"
    submit = "Save reading"
    success_message = "The reading is saved."
    keeps = True
    made: Reading

    def note(self, form: Any, **of: Any) -> Reading:
        return readings.note(**of, **form.measured(), by=self.request.user)


class ReadingNewBatch(_ReadingNew[Batch]):
    model = Batch
    words_of = "ph celsius note"

    def form_options(self) -> dict[str, Any]:
        return {"weighed": False}

    def enter(self, form: forms.Form) -> Reading:
        return self.note(form, batch=self.thing)


class ReadingNewSkin(_ReadingNew[Skin]):
    model = Skin
    words_of = "weight weight_unit ph celsius note"

    def odd(self, form: Any) -> Iterable[Odd]:
        grams, unit = form.measured()["weight"], form.cleaned_data["weight_unit"] or WEIGHTS[0]
        if grams is not None and grams > 0:
            yield form["weight"], readings_read.odd_weighings({self.thing: grams}, unit)[self.thing]

    def enter(self, form: forms.Form) -> Reading:
        return self.note(form, tags=[self.thing.tag])


class ReadingReversal(Reversal[Reading]):
    template_name = "costing/make/readings/reverse.html"
    asks = ()
    title = "Reverse this reading?"
    lead = "It stays on its row, struck out, and counts no more."
    success_message = "The reading is reversed."

    def things(self) -> QuerySet[Reading]:
        return Reading.objects.select_related("batch", "skin")

    def whose(self) -> Model | None:
        return self.thing.skin or self.thing.batch

    def enter(self, form: forms.Form) -> Reading:
        return readings.reverse(reading=self.thing, **self.sent(form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(reading=self.thing, **more)


@require_safe
def photo(request: HttpRequest, name: str) -> HttpResponse:
    """A kept photo, to those who are signed in. Named by its content, so a browser may keep it for good, but no shared cache."""
    try:
        content = readings.path(name).read_bytes()
    except FileNotFoundError:
        raise Http404 from None
    kept = {"Cache-Control": "private, max-age=31536000, immutable", "X-Content-Type-Options": "nosniff"}
    return HttpResponse(content, content_type="image/jpeg", headers=kept)
